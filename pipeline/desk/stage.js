// @ts-check
import { Pane, Screen, timecode } from "./film/film.js";

/**
 * @typedef {{mark: string, name: string, frame: number, guess?: boolean}} Mark
 * @typedef {{angle: string, film: string, step: number, marks: Mark[], spot?: number[]}} Angle
 */

/** The speeds that keys and buttons go through. */
const speeds = [0.1, 0.25, 0.5, 1, 1.5, 2];

/** The film of a play: one angle large, the other beside, in step. Event `frame`: another frame is on the screen. */
export class Stage extends EventTarget {
	/** @type {Screen|null} */ screen = null;
	/** @type {Angle[]} */ angles = [];
	/** Whether the play is looped. */
	round = false;
	/** The film that could not be opened, and why; empty is none. */
	fault = "";
	#films = "";
	/** @type {string|undefined} the mark to stand at next */ #to;
	/** @type {Promise<void>|null} */ #watching = null;
	#lead = 0;
	/** @type {HTMLElement[]} */ #boxes = [];
	#large;
	#beside;
	/** @type {(angle: string, frame: number, x: number, y: number) => void} */ #clicked;

	/**
	 * @param {HTMLElement} large
	 * @param {HTMLElement} beside
	 * @param {(angle: string, frame: number, x: number, y: number) => void} clicked on the picture, x and y from 0 to 1
	 */
	constructor(large, beside, clicked) {
		super();
		this.#large = large;
		this.#beside = beside;
		this.#clicked = clicked;
		new ResizeObserver(() => this.#rings()).observe(large);
	}

	/** The angle that is large. */
	get angle() {
		return this.angles[this.#lead]?.angle ?? "";
	}

	/** What is on the screen. */
	get at() {
		return { angle: this.angle, frame: Math.max(this.screen?.frame ?? 0, 0) };
	}

	/**
	 * Shows what a play is watched on. Of plays that are asked for faster than they come, the
	 * last is shown.
	 * @param {Angle[]} angles
	 * @param {string} [to] the mark to stand at; none is to stay
	 */
	watch(angles, to) {
		this.angles = angles;
		this.#to = to ?? this.#to;
		this.#watching ??= this.#watch().finally(() => {
			this.#watching = null;
		});
		return this.#watching;
	}

	async #watch() {
		/** @type {Angle[]|null} */
		let done = null;
		while (done !== this.angles) {
			const { angles } = this;
			done = angles;
			const to = this.#to;
			this.#to = undefined;
			const films = angles.map((angle) => angle.film).join(" ");
			if (films !== this.#films) {
				await this.#open(angles, films);
			}
			if (!this.screen) {
				continue;
			}
			if (angles.every((angle) => angle.step >= 0)) {
				const aligned = this.screen.align(angles.map((angle) => angle.step));
				if (!to) { // else what is shown is left at once
					await aligned;
				}
			}
			if (to && this.angles === angles) {
				await this.goTo(to);
			} else if (this.screen.frame < 0) {
				await this.screen.show(0);
			}
			this.#rings();
		}
	}

	/** @param {Angle[]} angles @param {string} films */
	async #open(angles, films) {
		this.screen?.close();
		this.screen = null;
		for (const box of this.#boxes) {
			box.remove();
		}
		this.#films = films;
		this.#lead = Math.min(this.#lead, Math.max(angles.length - 1, 0));
		this.#boxes = angles.map((angle, i) => this.#box(angle, i));
		this.#place();
		if (angles.length === 0) {
			return;
		}
		try {
			const panes = await Promise.all(angles.map((angle, i) => Pane.open(/** @type {HTMLElement} */ (this.#boxes[i].querySelector(".shown")), angle.film, { width: 1280 })));
			this.screen = new Screen(panes);
			if (this.#lead > 0) {
				await this.screen.leadBy(this.#lead);
			}
			this.fault = "";
			for (const type of ["frame", "state", "fault"]) {
				this.screen.addEventListener(type, () => this.dispatchEvent(new Event(type)));
			}
		} catch (error) {
			this.fault = String(error);
		}
		this.dispatchEvent(new Event("state"));
	}

	/** @param {Angle} angle @param {number} i */
	#box(angle, i) {
		const box = document.createElement("div");
		box.className = "pane";
		const shown = document.createElement("div");
		shown.className = "shown";
		const name = document.createElement("span");
		name.className = "name";
		name.textContent = angle.angle;
		const ring = document.createElement("div");
		ring.className = "ring";
		ring.hidden = true;
		box.append(shown, name, ring);
		box.addEventListener("click", (event) => {
			const pane = this.screen?.panes[i];
			const picture = pane && this.#picture(i);
			if (!pane || !picture) {
				return;
			}
			const bounds = box.getBoundingClientRect();
			const x = (event.clientX - bounds.left - picture.left) / picture.width;
			const y = (event.clientY - bounds.top - picture.top) / picture.height;
			if (x >= 0 && x <= 1 && y >= 0 && y <= 1) {
				this.#clicked(this.angles[i].angle, pane.frame, x, y);
			}
		});
		return box;
	}

	/** Where in its box the picture of film i is. @param {number} i */
	#picture(i) {
		const facts = this.screen?.panes[i].facts;
		const box = this.#boxes[i];
		if (!facts || !box) {
			return null;
		}
		const scale = Math.min(box.clientWidth / facts.width, box.clientHeight / facts.height);
		const width = facts.width * scale;
		const height = facts.height * scale;
		return { left: (box.clientWidth - width) / 2, top: (box.clientHeight - height) / 2, width, height };
	}

	/** Puts each film in its place. */
	#place() {
		this.#boxes.forEach((box, i) => {
			const large = i === this.#lead;
			box.classList.toggle("beside", !large);
			(large ? this.#large : this.#beside).append(box);
			box.hidden = !large && i !== (this.#lead === 0 ? 1 : 0); // of more than two the first is beside
		});
		this.#rings();
	}

	/** Draws where the rusher is, while the snap is on the screen. */
	#rings() {
		this.#boxes.forEach((box, i) => {
			const ring = /** @type {HTMLElement} */ (box.querySelector(".ring"));
			const picture = this.#picture(i);
			const { spot, step } = this.angles[i] ?? {};
			ring.hidden = !spot || !picture || Math.abs((this.screen?.panes[i].frame ?? -9) - (step ?? -1)) > 3;
			if (spot && picture) {
				ring.style.left = `${picture.left + spot[0] * picture.width}px`;
				ring.style.top = `${picture.top + spot[1] * picture.height}px`;
			}
		});
	}

	/** Called for every frame: what lies over the film follows it. */
	followed() {
		this.#rings();
	}

	/** The frame of a mark on the large angle. @param {string} mark @returns {number|undefined} */
	frameOf(mark) {
		return this.angles[this.#lead]?.marks.find((m) => m.mark === mark)?.frame;
	}

	/** Stands at a mark, where there is one. @param {string} mark */
	async goTo(mark) {
		const frame = this.frameOf(mark);
		if (frame !== undefined) {
			await this.screen?.show(frame);
		}
	}

	/** What a key or button of the film does. @param {string} what */
	async act(what) {
		const { screen } = this;
		if (!screen) {
			return;
		}
		const step = { on: 1, back: -1, on10: 10, back10: -10 }[what];
		switch (true) {
			case step !== undefined:
				await screen.step(/** @type {number} */ (step));
				break;
			case what === "play" && screen.playing:
				await screen.pause();
				break;
			case what === "play":
				await screen.play(this.#span());
				break;
			case what === "loop":
				this.round = !this.round;
				if (screen.playing) {
					await screen.play(this.#span());
				}
				break;
			case what === "slower" || what === "faster": {
				const near = speeds.reduce((best, s, i) => (Math.abs(s - screen.speed) < Math.abs(speeds[best] - screen.speed) ? i : best), 0);
				screen.speed = speeds[Math.min(Math.max(near + (what === "faster" ? 1 : -1), 0), speeds.length - 1)];
				break;
			}
			case what === "in" || what === "snap":
				await this.goTo(what);
				break;
			case what === "angle":
				await this.leadBy((this.#lead + 1) % this.angles.length);
				break;
		}
		this.dispatchEvent(new Event("state"));
	}

	/** Has angle i large. @param {number} i */
	async leadBy(i) {
		this.#lead = i;
		await this.screen?.leadBy(i);
		this.#place();
		this.dispatchEvent(new Event("frame"));
	}

	/** The frames of the play, where it is to go round. */
	#span() {
		const from = this.frameOf("in");
		const out = this.frameOf("out");
		return this.round && from !== undefined && out !== undefined ? { in: from, out } : null;
	}

	/** The timecode and the number of the frame on the screen, and of the one that is to come. */
	get clock() {
		const { screen } = this;
		if (!screen || screen.frame < 0) {
			return "";
		}
		const { wanted, facts } = screen.lead;
		const coming = screen.playing || wanted === screen.frame ? "" : `, coming: ${wanted}`;
		return `${timecode(facts, screen.frame)}  frame ${screen.frame}${coming}`;
	}
}
