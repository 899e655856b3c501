// @ts-check
import { make } from "./form.js";

/**
 * Something drawn over film: over of Go.
 * @typedef {{picture: string, x: number, y: number, width: number, height: number, in: number, out: number}} Over
 */

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
		const image = /** @type {HTMLImageElement} */ (make("img", { src: over.picture, alt: "", class: "drawn" }));
		image.hidden = true;
		box.append(image);
		return { image, over };
	});
	const follow = () => {
		const { place, frame } = lead;
		const from = box.getBoundingClientRect();
		for (const { image, over } of pictures) {
			image.hidden = frame < over.in || frame >= over.out;
			image.style.left = `${place.x - from.x + over.x * place.width}px`;
			image.style.top = `${place.y - from.y + over.y * place.height}px`;
			image.style.width = `${over.width * place.width}px`;
			image.style.height = `${over.height * place.height}px`;
		}
	};
	follow();
	lead.addEventListener("frame", follow);
	return () => {
		lead.removeEventListener("frame", follow);
		pictures.forEach(({ image }) => image.remove());
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
