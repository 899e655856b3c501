// @ts-check

/** @typedef {import("./facts.js").Facts} Facts */

/** When frame n starts, in seconds from frame 0. @param {Facts} facts @param {number} n */
export const start = (facts, n) => (n * facts.rate.den) / facts.rate.num;

/** The frame that is on at a time from frame 0, which is that of its start, but for rounding. @param {Facts} facts @param {number} time */
export const frameAt = (facts, time) => Math.round((time * facts.rate.num) / facts.rate.den);

/** Puts the video to frame n: to its middle, since its edges may be rounded either way. @param {HTMLVideoElement} video @param {Facts} facts @param {number} n */
export function seek(video, facts, n) {
	video.currentTime = start(facts, n + 0.5);
}

/**
 * Brings a video that plays to a time from frame 0, in seconds: by its speed where it is close,
 * so that it does not jerk.
 * @param {HTMLVideoElement} video
 * @param {number} time
 * @param {number} speed
 */
export function follow(video, time, speed) {
	const late = time - video.currentTime;
	if (video.seeking) {
		return;
	}
	if (Math.abs(late) > 0.2) {
		video.currentTime = time;
	}
	const gently = Math.abs(late) < 0.012 ? 0 : Math.min(Math.max(late, -0.1), 0.1);
	video.playbackRate = Math.max(speed * (1 + gently), 0.0625);
}

/**
 * Has a video that stands go to frame n. found is called once it shows that very frame, by what
 * the browser says of the picture; never where another was wanted before.
 * @param {HTMLVideoElement} video
 * @param {Facts} facts
 * @param {number} n
 * @param {() => boolean} wanted whether it still is
 * @param {() => void} found
 */
export function lookFor(video, facts, n, wanted, found) {
	/** @type {VideoFrameRequestCallback} */
	const look = (_, { mediaTime }) => {
		if (!wanted()) {
			return;
		}
		if (frameAt(facts, mediaTime) !== n) { // it is of before
			video.requestVideoFrameCallback(look);
			return;
		}
		found();
	};
	video.requestVideoFrameCallback(look);
	seek(video, facts, n);
}
