// @ts-check

/**
 * Film in a page, frame by frame. A {@link Pane} shows one film in an element; a {@link Screen}
 * shows several in step. Where film stands, what is on the screen is a still that the server
 * decoded, which is the very frame that a reel cuts; a video element plays, and hands over to
 * the still of the frame that was on the screen.
 *
 * The page brings film.css, and allows connections and media from itself; nothing is inline.
 */

import { again, made, sleep } from "./facts.js";
import { ahead, Stills } from "./stills.js";
import { follow, frameAt, lookFor, seek, start } from "./video.js";

export { timecode } from "./facts.js";
export { Screen } from "./screen.js";

/**
 * For how many milliseconds the video alone looks for a frame. The server's decoder and the
 * browser's would share the processors, and both be late.
 */
const patience = 1000;

/** How many milliseconds late a browser tells of a picture at most, and how many pictures are remembered. */
const lateness = 100;
const mostShown = 60;

/** @typedef {import("./facts.js").Facts} Facts */
/** @typedef {import("./facts.js").Progress} Progress */

/**
 * One film in an element. Events, of type `Event`, whose target is the pane:
 *
 * - `frame`: another frame is on the screen: {@link Pane#frame}.
 * - `state`: it began or ceased to play, or how far its video is changed: {@link Pane#playing},
 *   {@link Pane#video}.
 * - `fault`: {@link Pane#fault} says what cannot be shown.
 */
export class Pane extends EventTarget {
	/** The number of the frame that is on the screen; -1 before the first. @type {number} */
	frame = -1;
	/** Whether the film plays. */
	playing = false;
	/** What cannot be shown, in one line for people; empty is nothing. */
	fault = "";

	/** @type {Facts} */ #facts;
	/** @type {string} */ #base;
	/** @type {number} */ #width;
	#video = document.createElement("video");
	#canvas = document.createElement("canvas");
	#pen;
	#stills;
	#wanted = -1;
	/** Whether the last step was backwards. */
	#back = false;
	/** Counts the times that the film began to play or to stand, so that what is late knows it. */
	#turn = 0;
	/** The turn of playing that ended in the pause that goes on; -1 is none. */
	#paused = -1;
	/** The still that a pause waits for. */
	#standing = Promise.resolve();
	/** Counts the stills that were asked for, and the one of them that was drawn last. */
	#asked = 0;
	#drawn = 0;
	/** What the video showed since it plays: each frame and when it came to the screen. @type {{n: number, at: number}[]} */
	#shown = [];
	/** @type {{in: number, out: number}|null} */ #loop = null;
	#speed = 1;
	#muted = false;
	#closed = false;

	/**
	 * Opens the film at address base, which ends in its ID, in element, which it fills.
	 * width is how many pixels wide stills are at most.
	 * @param {HTMLElement} element
	 * @param {string} base
	 * @param {{width?: number}} [options]
	 * @returns {Promise<Pane>}
	 */
	static async open(element, base, options = {}) {
		const answer = await fetch(`${base}/film.json`);
		if (!answer.ok) {
			throw new Error((await answer.text()).trim());
		}
		return new Pane(element, base, await answer.json(), options.width ?? 960);
	}

	/**
	 * Use {@link Pane.open}.
	 * @param {HTMLElement} element
	 * @param {string} base
	 * @param {Facts} facts
	 * @param {number} width
	 */
	constructor(element, base, facts, width) {
		super();
		this.#base = base;
		this.#facts = facts;
		this.#width = width;
		const scale = Math.min(width, facts.width) / facts.width;
		this.#canvas.width = Math.round(facts.width * scale);
		this.#canvas.height = Math.round(facts.height * scale);
		const pen = this.#canvas.getContext("2d");
		if (!pen) {
			throw new Error("this browser cannot draw");
		}
		this.#pen = pen;
		this.#stills = new Stills(base, facts.frames, this.#canvas.width);
		this.#video.preload = "metadata";
		this.#video.playsInline = true;
		this.#video.disablePictureInPicture = true;
		this.#video.tabIndex = -1;
		this.#video.addEventListener("error", () => this.#unplayable());
		this.#video.addEventListener("ended", () => void this.pause());
		element.classList.add("film");
		element.replaceChildren(this.#video, this.#canvas);
		void this.#load();
	}

	/** What is known of the film. */
	get facts() {
		return this.#facts;
	}

	/** How far the film is from being played by a video; until then it is played by stills. */
	get video() {
		return this.#facts.video;
	}

	/** When the frame on the screen is shown, on the film's own time, in seconds. */
	get seconds() {
		return this.#facts.first + start(this.#facts, Math.max(this.frame, 0));
	}

	/** Whether the film's sound is off. */
	get muted() {
		return this.#muted;
	}

	set muted(off) {
		this.#muted = off;
		this.#video.muted = off;
	}

	/** How fast the film plays: 1 is as it was filmed. From 0.1 to 2. */
	get speed() {
		return this.#speed;
	}

	set speed(speed) {
		this.#speed = Math.min(Math.max(speed, 0.1), 2);
		this.#video.playbackRate = this.#speed;
	}

	/** Whether a video plays the film, and not its stills. */
	get smooth() {
		return this.video.state === "ready" && this.#video.readyState >= HTMLMediaElement.HAVE_METADATA;
	}

	/** How far the video has played, in seconds from frame 0. */
	get playedTo() {
		return this.#video.currentTime;
	}

	/** The frame that was asked for last, which is on the screen soon; the one that is there while the film plays. */
	get wanted() {
		return this.playing || this.#wanted < 0 ? Math.max(this.frame, 0) : this.#wanted;
	}

	/** Where in the window the picture is, which is fitted into the element whole. */
	get place() {
		const box = (this.element ?? this.#canvas).getBoundingClientRect(); // the canvas is hidden while a video plays
		const scale = Math.min(box.width / this.#facts.width, box.height / this.#facts.height);
		const [width, height] = [this.#facts.width * scale, this.#facts.height * scale];
		return new DOMRect(box.x + (box.width - width) / 2, box.y + (box.height - height) / 2, width, height);
	}

	/** The element that was given. */
	get element() {
		return this.#canvas.parentElement;
	}

	/**
	 * Frame n, or the nearest that the film has.
	 * @param {number} n
	 */
	clamp(n) {
		return Math.min(Math.max(Math.round(n), 0), this.#facts.frames - 1);
	}

	/**
	 * Stands still at frame n. It resolves once that frame is on the screen, or will not be.
	 * Of frames that are asked for faster than they come, those that come are shown.
	 * @param {number} n
	 */
	async show(n) {
		this.#stop();
		this.#paused = -1;
		n = this.clamp(n);
		if (!this.smooth || this.#stills.asked(n)) {
			await this.#still(n);
			return;
		}
		const near = Math.abs(n - this.#wanted) <= ahead; // a hand that steps wants the stills
		const glimpse = this.#glimpse(n);
		await Promise.race([this.#still(n, near ? null : Promise.race([glimpse, sleep(patience)])), glimpse]);
	}

	/**
	 * Stands still so many frames on or back from the frame that was asked for last.
	 * @param {number} frames
	 */
	step(frames) {
		return this.show(this.wanted + frames);
	}

	/**
	 * Plays from frame from on, or else from the frame on the screen; round and round where span
	 * is given: from its in to the frame before its out. A frame or two more may be seen before a
	 * video is back at the in.
	 * @param {{in: number, out: number}|null} [span]
	 * @param {number} [from]
	 */
	async play(span = null, from = this.wanted) {
		this.#stop();
		const turn = ++this.#turn;
		this.#loop = span && { in: this.clamp(span.in), out: Math.max(this.clamp(span.out - 1), this.clamp(span.in)) + 1 };
		from = this.clamp(from);
		if (this.#loop && (from < this.#loop.in || from >= this.#loop.out)) {
			from = this.#loop.in;
		}
		if (!this.#loop && from >= this.#facts.frames - 1) {
			from = 0;
		}
		this.playing = true;
		this.#say("state");
		if (!this.smooth) {
			void this.#playStills(turn, from);
			return;
		}
		seek(this.#video, this.#facts, from);
		this.#shown = [];
		this.#watch(turn, from);
		try {
			await this.#video.play();
		} catch (error) {
			if (turn === this.#turn) {
				this.#fail(error);
				this.#stop();
			}
		}
	}

	/**
	 * The frame that is on the screen at time, which is now. While a video plays it resolves a few
	 * pictures later: a browser tells of a picture when it was or is about to be shown.
	 * @param {number} time as performance.now() counts it
	 */
	async seenAt(time) {
		const turn = this.#turn;
		if (!this.playing || !this.smooth) {
			return Math.max(this.frame, 0);
		}
		while (turn === this.#turn && (this.#shown.at(-1)?.at ?? 0) <= time && performance.now() < time + lateness) {
			await new Promise(requestAnimationFrame);
		}
		return this.#shown.filter(({ at }) => at <= time).at(-1)?.n ?? Math.max(this.frame, 0);
	}

	/** Stops playing. It resolves once the still of the frame that was on the screen is there. */
	async pause() {
		if (this.playing) {
			this.#paused = this.#turn;
			this.#stop();
			this.#standing = this.#still(this.clamp(this.frame));
		}
		for (let last; last !== this.#standing; ) {
			last = this.#standing;
			await last;
		}
	}

	/**
	 * Gets ready for a jump to frame n, when the server has time.
	 * @param {number} n
	 * @param {AbortSignal} signal ends it
	 */
	expect(n, signal) {
		return this.#stills.expect(this.clamp(n), signal);
	}

	/** Lets go of the film. */
	close() {
		this.#stop();
		this.#closed = true;
		this.#stills.close();
		this.#video.removeAttribute("src");
		this.#video.load();
		this.element?.replaceChildren();
	}

	/**
	 * How loud the film is, or how much moves in it: a byte for each of {@link Facts} columns a
	 * second, from frame 0 on. It resolves when the server has it, to null where there is none.
	 * @param {"sound"|"motion"} kind
	 * @param {(progress: Progress) => void} [told]
	 * @returns {Promise<Uint8Array|null>}
	 */
	strip(kind, told = () => {}) {
		return made(`${this.#base}/${kind}.bin`, told, () => this.#closed);
	}

	/** Brings the video, which plays, to a time from frame 0, in seconds. @param {number} time @param {number} speed */
	follow(time, speed) {
		follow(this.#video, time, speed);
	}

	/** @param {string} type */
	#say(type) {
		this.dispatchEvent(new Event(type));
	}

	/** @param {unknown} error */
	#fail(error) {
		this.fault = error instanceof Error ? error.message : String(error);
		this.#say("fault");
	}

	/** Ends whatever goes on. The picture stays. */
	#stop() {
		if (this.playing) {
			this.#turn++;
			this.playing = false;
			this.#video.pause();
			this.#say("state");
		}
	}

	/** Loads the video, once there is one. */
	async #load() {
		while (!this.#closed) {
			const { state, file } = this.video;
			if (state === "ready") {
				this.#video.src = `${this.#base}/${file}`;
				this.#video.addEventListener("loadedmetadata", () => this.#say("state"), { once: true });
				return;
			}
			if (state === "failed" || state === "none") {
				this.#say("state");
				return;
			}
			await sleep(again);
			await this.#ask(file === "standin.mp4");
		}
	}

	/** Asks how far the video is. @param {boolean} standIn */
	async #ask(standIn) {
		try {
			const answer = await fetch(`${this.#base}/film.json${standIn ? "?video=standin" : ""}`);
			if (answer.ok) {
				this.#facts = await answer.json();
				this.#say("state");
			}
		} catch (error) {
			this.#fail(error); // the server may come back
		}
	}

	/**
	 * Has a stand-in made where the browser does not play the film after all, and tries again
	 * where it only could not be read.
	 */
	async #unplayable() {
		if (this.#closed || !this.#video.hasAttribute("src")) {
			return;
		}
		const { src } = this.#video;
		const { playing } = this;
		this.#video.removeAttribute("src");
		this.#stop();
		const there = await fetch(src, { method: "HEAD" }).then((answer) => answer.ok, () => false);
		if (!there) {
			await sleep(again);
		} else if (this.video.file === "standin.mp4") {
			this.#facts.video.state = "failed";
			this.#say("state");
			return;
		}
		await this.#ask(there || this.video.file === "standin.mp4");
		void this.#load();
		if (playing) {
			await this.play(this.#loop, this.frame);
		}
	}

	/**
	 * Follows what the video shows, which was put to frame from.
	 * @param {number} turn
	 * @param {number} from
	 */
	#watch(turn, from) {
		const { num, den } = this.#facts.rate;
		let shown = false;
		/** @type {VideoFrameRequestCallback} */
		const look = (_, { mediaTime, expectedDisplayTime }) => {
			// A picture that was on its way when the film was paused is on the screen after all.
			const late = turn === this.#paused && turn === this.#turn - 1 && this.#canvas.hidden;
			if (turn !== this.#turn && !late) {
				return;
			}
			const n = this.clamp(frameAt(this.#facts, mediaTime));
			if (this.#video.seeking || (!shown && Math.abs(n - from) * den > num)) { // it is of before
				this.#video.requestVideoFrameCallback(look);
				return;
			}
			shown = true;
			this.#shown = [...this.#shown.slice(-mostShown), { n, at: expectedDisplayTime }];
			this.#canvas.hidden = true;
			this.#set(n);
			if (late) {
				this.#drawn = this.#asked; // what is under way is not it
				this.#standing = this.#still(n);
				return;
			}
			if (this.#loop && n >= this.#loop.out - 1) {
				seek(this.#video, this.#facts, this.#loop.in);
			}
			this.#video.requestVideoFrameCallback(look);
		};
		this.#video.requestVideoFrameCallback(look);
	}

	/** @param {number} n */
	#set(n) {
		if (n !== this.frame) {
			this.frame = n;
			this.#say("frame");
		}
	}

	/**
	 * Puts the still of frame n on the screen, unless the film plays or a later one is there by then.
	 * It is asked for after first, unless another was by then.
	 * @param {number} n
	 * @param {Promise<unknown>|null} [first]
	 */
	async #still(n, first = null) {
		this.#back = n < this.#wanted || (n === this.#wanted && this.#back);
		this.#wanted = n;
		const turn = this.#turn;
		const asked = ++this.#asked;
		if (first) {
			await first;
			if (asked !== this.#asked || turn !== this.#turn || this.#closed) {
				return;
			}
		}
		try {
			const picture = await createImageBitmap(await this.#stills.get(n, n));
			if (turn === this.#turn && asked > this.#drawn) {
				this.#drawn = asked;
				this.#draw(n, picture);
				void this.#stills.ahead(n, this.#back, () => this.#wanted === n && !this.playing && !this.#closed);
			}
			picture.close();
		} catch (error) {
			if (turn === this.#turn && asked === this.#asked) {
				this.#fail(error);
			}
		}
	}

	/**
	 * Has the video, too, look for frame n, to which #still goes next: far from where the film
	 * stood its picture is there before the still, and stands for it until then. It resolves
	 * once it is there.
	 * @param {number} n
	 */
	#glimpse(n) {
		if (this.#canvas.hidden) { // or what the video comes by would be seen
			this.#pen.drawImage(this.#video, 0, 0, this.#canvas.width, this.#canvas.height);
			this.#canvas.hidden = false;
		}
		const turn = this.#turn;
		const asked = this.#asked + 1;
		const wanted = () => turn === this.#turn && asked === this.#asked && asked > this.#drawn && !this.#closed;
		return new Promise((done) => lookFor(this.#video, this.#facts, n, wanted, () => {
			this.#drawn = Math.max(this.#drawn, asked - 1); // what was asked for before comes too late
			this.#draw(n, this.#video);
			done(undefined);
		}));
	}

	/** @param {number} n @param {CanvasImageSource} picture */
	#draw(n, picture) {
		this.#pen.drawImage(picture, 0, 0, this.#canvas.width, this.#canvas.height);
		this.#canvas.hidden = false;
		if (this.fault) {
			this.fault = "";
			this.#say("fault");
		}
		this.#set(n);
	}

	/**
	 * Plays by stills, from frame from on, none left out: slower than asked for where they do
	 * not come fast enough.
	 * @param {number} turn
	 * @param {number} from
	 */
	async #playStills(turn, from) {
		let n = from;
		let due = performance.now();
		while (turn === this.#turn) {
			try {
				for (let next = n + 1; next < Math.min(n + ahead, this.#facts.frames); next++) {
					this.#stills.get(next, n).catch(() => {}); // fails again when it is shown
				}
				const picture = await createImageBitmap(await this.#stills.get(n, n));
				await sleep(Math.max(due - performance.now(), 0));
				if (turn !== this.#turn) {
					return;
				}
				this.#draw(n, picture);
				picture.close();
			} catch (error) {
				if (turn !== this.#turn) {
					return;
				}
				this.#fail(error);
			}
			due = Math.max(due, performance.now() - 100) + (1000 * start(this.#facts, 1)) / this.#speed;
			n++;
			if (this.#loop && n >= this.#loop.out) {
				n = this.#loop.in;
			}
			if (n >= this.#facts.frames) {
				this.#stop();
				return;
			}
		}
	}
}
