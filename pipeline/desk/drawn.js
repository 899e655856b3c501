// @ts-check
import { make } from "./form.js";

/**
 * Something drawn over film: over of Go.
 * @typedef {{picture: string, x: number, y: number, width: number, height: number, in: number, out: number, states: number, columns: number, each: number, way?: {frame: number, x: number, y: number}[]}} Over
 */

/**
 * Where something drawn is at a frame.
 * @param {Over} over
 * @param {number} frame
 */
function placeOf(over, frame) {
	const way = over.way ?? [];
	const next = way.findIndex((at) => at.frame >= frame);
	if (next <= 0) {
		return (next === 0 ? way[0] : way[way.length - 1]) ?? over;
	}
	const [from, to] = [way[next - 1], way[next]];
	const part = (frame - from.frame) / (to.frame - from.frame);
	return { x: from.x + (to.x - from.x) * part, y: from.y + (to.y - from.y) * part };
}

/**
 * Lays over the leading film of a stage what the reel will have there, as its frames come.
 * @param {import("./stage.js").Stage} stage
 * @param {Over[]} list
 * @returns {() => void} takes it away
 */
export function lay(stage, list) {
	const lead = stage.screen?.lead;
	const box = lead?.element?.parentElement;
	if (!lead || !box) {
		return () => {};
	}
	const pictures = list.map((over) => {
		const image = /** @type {HTMLImageElement} */ (make("img", { src: over.picture, alt: "" }));
		image.style.width = `${100 * over.columns}%`;
		image.style.height = `${100 * Math.ceil(over.states / over.columns)}%`;
		const mask = make("div", { class: "drawn" }, image);
		mask.style.clipPath = over.states > 1 ? "inset(0 0 1px)" : ""; // or the next state's edge is seen
		mask.hidden = true;
		box.append(mask);
		return { mask, image, over };
	});
	const follow = () => {
		const { place, frame } = lead;
		const from = box.getBoundingClientRect();
		for (const { mask, image, over } of pictures) {
			mask.hidden = frame < over.in || frame >= over.out;
			const at = placeOf(over, frame);
			mask.style.left = `${place.x - from.x + at.x * place.width}px`;
			mask.style.top = `${place.y - from.y + at.y * place.height}px`;
			mask.style.width = `${over.width * place.width}px`;
			mask.style.height = `${over.height * place.height}px`;
			const state = Math.min(Math.max(Math.floor((frame - over.in) / over.each), 0), over.states - 1);
			image.style.left = `${-100 * (state % over.columns)}%`;
			image.style.top = `${-100 * Math.floor(state / over.columns)}%`;
		}
	};
	follow();
	lead.addEventListener("frame", follow);
	return () => {
		lead.removeEventListener("frame", follow);
		pictures.forEach(({ mask }) => mask.remove());
	};
}

/**
 * Shows a slate over the film for as long as it stands in the reel, or until somebody does
 * something elsewhere than in panel. It resolves to whether it was left alone until then.
 * @param {HTMLElement} over
 * @param {string} picture
 * @param {string} text
 * @param {number} seconds from when it is there
 * @param {HTMLElement} panel
 * @param {AbortSignal} signal ends it
 * @returns {Promise<boolean>}
 */
export async function slate(over, picture, text, seconds, panel, signal) {
	const image = /** @type {HTMLImageElement} */ (make("img", { src: picture, alt: text, class: "slate" }));
	over.append(image);
	await image.decode().catch(() => {}); // then nothing is seen of it, as long
	const ended = new AbortController();
	const alone = await new Promise((/** @type {(alone: boolean) => void} */ done) => {
		const left = () => done(false);
		const touched = (/** @type {Event} */ event) => event.target instanceof Node && !panel.contains(event.target) && left();
		for (const type of ["keydown", "pointerdown"]) {
			document.addEventListener(type, touched, { capture: true, signal: ended.signal });
		}
		signal.addEventListener("abort", left, { signal: ended.signal });
		setTimeout(() => done(!signal.aborted), signal.aborted ? 0 : 1000 * seconds);
	});
	ended.abort();
	image.remove();
	return alone && !signal.aborted;
}
