// @ts-check

/**
 * @typedef {object} Rate
 * @property {number} num frames in den seconds
 * @property {number} den
 */

/**
 * What is known of a film: Facts of the server.
 * @typedef {object} Facts
 * @property {number} frames how many it has; the first is 0
 * @property {Rate} rate
 * @property {number} first when frame 0 is shown on the film's own time, in seconds
 * @property {number} start its start timecode, as frames from 00:00:00:00
 * @property {string} counting how the start timecode counts; empty where there is none
 * @property {number} width
 * @property {number} height
 * @property {boolean} sound
 * @property {number} columns bytes a second of sound and motion
 * @property {Progress & {file: string}} video
 */

/**
 * @typedef {object} Progress
 * @property {"ready"|"waiting"|"making"|"failed"|"none"} state
 * @property {number} done frames
 * @property {number} of frames
 * @property {string} [said] one line for people
 */

/**
 * The SMPTE timecode of frame n, as the film's own counts; of film that has none, from
 * 00:00:00:00 on. Drop-frame timecode has a semicolon before its frames.
 * @param {Facts} facts
 * @param {number} n
 */
export function timecode(facts, n) {
	const fps = Math.round(facts.rate.num / facts.rate.den);
	let count = facts.start + n;
	const drop = facts.counting === "drop-frame";
	if (drop) {
		const skip = fps / 15; // SMPTE ST 12-1: numbers skipped each minute but every tenth
		const rest = count % (fps * 600 - 9 * skip);
		count += Math.floor(count / (fps * 600 - 9 * skip)) * 9 * skip;
		count += rest < fps * 60 ? 0 : skip * (1 + Math.floor((rest - fps * 60) / (fps * 60 - skip)));
	}
	const two = (/** @type {number} */ part) => String(Math.floor(part)).padStart(2, "0");
	const time = [(count / (fps * 3600)) % 24, (count / (fps * 60)) % 60, (count / fps) % 60].map(two).join(":");
	return `${time}${drop ? ";" : ":"}${two(count % fps)}`;
}

/** How long to wait before the server is asked again how far its work is, in milliseconds. */
export const again = 1000;

/** @param {number} ms */
export const sleep = (ms) => new Promise((done) => setTimeout(done, ms));

/**
 * What the server makes at an address, once it has; null where there is none.
 * @param {string} address
 * @param {(progress: Progress) => void} told
 * @param {() => boolean} closed whether nobody waits any more
 * @returns {Promise<Uint8Array|null>}
 */
export async function made(address, told, closed) {
	while (!closed()) {
		const answer = await fetch(address);
		if (answer.status === 200) {
			return new Uint8Array(await answer.arrayBuffer());
		}
		if (answer.status !== 202) {
			return null;
		}
		told(await answer.json());
		await sleep(again);
	}
	return null;
}
