// @ts-check
import { Pane, Screen, timecode } from "./film/film.js";

/**
 * The number that a picture carries in the strip of blocks along its top edge; -1 where there
 * is none. The ends are held to, the check is not: strip.Read does that of screenshots.
 * @param {CanvasImageSource} picture
 */
function number(picture) {
	const canvas = document.createElement("canvas");
	canvas.width = 320;
	canvas.height = 10;
	const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
	pen.drawImage(picture, 0, 0, 320, 180);
	let word = 0n;
	for (let i = 0; i < 32; i++) {
		word = (word << 1n) | (pen.getImageData(i * 10 + 5, 5, 1, 1).data[1] > 128 ? 1n : 0n);
	}
	return word >> 28n === 0b0110n && (word & 15n) === 0b1010n ? Number((word >> 8n) & 0xfffffn) : -1;
}

/** What each pane said while it played, and what its video showed then. @type {{pane: number, frame: number, shows: number, playing: boolean}[]} */
const seen = [];

/** @type {Screen} */
let screen;

/** @param {string[]} films */
async function open(...films) {
	const panes = await Promise.all(films.map((id, i) => Pane.open(/** @type {HTMLElement} */ (document.getElementById(`pane${i}`)), `film/${id}`, { width: 640 })));
	panes.forEach((pane, i) => pane.addEventListener("frame", () => {
		const { frame, playing } = pane;
		const video = /** @type {HTMLVideoElement} */ (pane.element?.querySelector("video"));
		const canvas = /** @type {HTMLCanvasElement} */ (pane.element?.querySelector("canvas"));
		seen.push({ pane: i, frame, playing, shows: number(canvas.hidden ? video : canvas) });
	}));
	screen = new Screen(panes);
	Object.assign(window, { screen });
	return panes.map((pane) => pane.facts);
}

/** Presses a key so many times while the film plays: what the video has then, and what was seen. @param {number} times */
async function press(times) {
	const presses = [];
	const pane = screen.lead;
	const video = /** @type {HTMLVideoElement} */ (pane.element?.querySelector("video"));
	for (let i = 0; i < times; i++) {
		await new Promise((done) => setTimeout(done, 97));
		const time = performance.now();
		const shows = number(video);
		const took = (performance.now() - time) / 1000;
		presses.push({ shows, took, seen: await pane.seenAt(time) });
	}
	return presses;
}

Object.assign(window, { open, press, seen, timecode });
