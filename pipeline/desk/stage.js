// @ts-check
import { Pane, Screen, timecode } from "./film/film.js";

/**
 * @typedef {{mark: string, name: string, frame: number, guess?: boolean}} Mark
 * @typedef {{frame: number, shape: string, points: number[], open?: boolean}} Drawn
 * @typedef {{angle: string, film: string, step: number, marks: Mark[]|null, spot?: number[], proposed?: boolean, drawn?: Drawn[]}} Angle
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
	/** What is being dragged over which film. @type {{box: number, from: number[], to: number[], moved: boolean}|null} */ #drag = null;
	#large;
	#beside;
	/** @type {(angle: string, frame: number, x: number, y: number) => void} */ #clicked;
	/** @type {(angle: string, frame: number, from: number[], to: number[]) => void} */ #dragged;

	/**
	 * @param {HTMLElement} large
	 * @param {HTMLElement} beside
	 * @param {(angle: string, frame: number, x: number, y: number) => void} clicked on the picture, x and y from 0 to 1
	 * @param {(angle: string, frame: number, from: number[], to: number[]) => void} dragged over the picture
	 */
	constructor(large, beside, clicked, dragged) {
		super();
		this.#large = large;
		this.#beside = beside;
		this.#clicked = clicked;
		this.#dragged = dragged;
		new ResizeObserver(() => this.#over()).observe(large);
	}

	/** The angle that is large. */
	get angle() {
		return this.angles[this.#lead]?.angle ?? "";
	}

	/** What is on the screen. */
	get at() {
		return { angle: this.angle, frame: Math.max(this.screen?.frame ?? 0, 0) };
	}

	/** What is on the screen at time, which is now, as performance.now() counts it. @param {number} time */
	async seenAt(time) {
		const { angle } = this;
		return { angle, frame: (await this.screen?.lead.seenAt(time)) ?? 0 };
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
		let opened = false;
		while (done !== this.angles) {
			const { angles } = this;
			done = angles;
			const films = angles.map((angle) => angle.film).join(" ");
			if (films !== this.#films) {
				await this.#open(angles, films);
				opened = true;
			}
			const { screen } = this;
			if (!screen || this.angles !== angles) {
				continue;
			}
			const to = this.#to;
			this.#to = undefined;
			if (angles.every((angle) => angle.step >= 0)) {
				const aligned = screen.align(angles.map((angle) => angle.step));
				if (!to) { // else what is shown is left at once
					await aligned;
				}
			}
			// Nobody waits for what comes onto the screen: another play may be asked for before.
			if (to && this.frameOf(to) !== undefined) {
				void this.goTo(to);
			} else if (opened) {
				void screen.show(0);
			}
			opened = false;
			this.#over();
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
		this.#lay();
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
			for (const type of ["state", "fault"]) {
				this.screen.addEventListener(type, () => this.#tell());
			}
		} catch (error) {
			this.fault = error instanceof Error ? error.message : String(error);
		}
		this.#tell();
		this.dispatchEvent(new Event("state"));
	}

	/** Says over each film why it is not shown as it was asked for, or does not play smoothly. */
	#tell() {
		this.#boxes.forEach((box, i) => {
			const pane = this.screen?.panes[i];
			const fault = pane?.fault || this.fault;
			const { state, said } = pane?.video ?? {};
			const copy = "Plays picture by picture until a copy that the browser plays is made";
			const why = new Map([["waiting", copy], ["making", copy], ["failed", `Plays picture by picture: ${said}`], ["none", said]]).get(state ?? "");
			const line = /** @type {HTMLElement} */ (box.querySelector(".told"));
			const text = fault ? `Not shown: ${fault}` : (why ?? "");
			if (line.textContent !== text) {
				line.textContent = text;
			}
			line.classList.toggle("wrong", Boolean(fault));
			line.hidden = !text;
		});
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
		const over = document.createElementNS("http://www.w3.org/2000/svg", "svg");
		over.setAttribute("aria-hidden", "true");
		const told = document.createElement("p");
		told.className = "told";
		told.setAttribute("role", "status");
		told.hidden = true;
		box.append(shown, name, ring, over, told);
		box.addEventListener("pointerdown", (event) => {
			const from = this.#place(i, event);
			if (from && event.isPrimary && event.button === 0) {
				box.setPointerCapture(event.pointerId);
				this.#drag = { box: i, from, to: from, moved: false };
			}
		});
		box.addEventListener("pointermove", (event) => {
			const drag = this.#drag;
			const to = this.#place(i, event, true);
			if (drag?.box !== i || !to) {
				return;
			}
			drag.to = to;
			drag.moved ||= Math.hypot(to[0] - drag.from[0], to[1] - drag.from[1]) > 0.02; // else a click that slipped
			if (drag.moved) {
				this.#over();
			}
		});
		box.addEventListener("pointerup", () => {
			const drag = this.#drag;
			const pane = this.screen?.panes[i];
			this.#drag = null;
			if (!pane || drag?.box !== i) {
				return;
			}
			if (drag.moved) {
				this.#dragged(this.angles[i].angle, pane.frame, drag.from, drag.to);
			} else {
				this.#clicked(this.angles[i].angle, pane.frame, drag.from[0], drag.from[1]);
			}
			this.#over();
		});
		box.addEventListener("pointercancel", () => {
			this.#drag = null;
			this.#over();
		});
		return box;
	}

	/**
	 * Where in the picture of film i, from 0 to 1, a pointer is; null where it is beside it.
	 * @param {number} i
	 * @param {PointerEvent} event
	 * @param {boolean} [held] the nearest place in the picture where it is beside it
	 */
	#place(i, event, held = false) {
		const picture = this.#picture(i);
		if (!picture) {
			return null;
		}
		const bounds = this.#boxes[i].getBoundingClientRect();
		const at = [(event.clientX - bounds.left - picture.left) / picture.width, (event.clientY - bounds.top - picture.top) / picture.height];
		const inside = at.map((v) => Math.min(Math.max(v, 0), 1));
		return held || (inside[0] === at[0] && inside[1] === at[1]) ? inside : null;
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
	#lay() {
		this.#boxes.forEach((box, i) => {
			const large = i === this.#lead;
			box.classList.toggle("beside", !large);
			(large ? this.#large : this.#beside).append(box);
			box.hidden = !large && i !== (this.#lead === 0 ? 1 : 0); // of more than two the first is beside
		});
		this.#over();
	}

	/** Draws what lies over the film: where the rusher is, while the snap is on the screen, and drawings at their marks. */
	#over() {
		this.#boxes.forEach((box, i) => {
			const ring = /** @type {HTMLElement} */ (box.querySelector(".ring"));
			const picture = this.#picture(i);
			const { spot, proposed, step } = this.angles[i] ?? {};
			ring.classList.toggle("proposed", Boolean(proposed));
			ring.hidden = !spot || !picture || Math.abs((this.screen?.panes[i].frame ?? -9) - (step ?? -1)) > 3;
			if (spot && picture) {
				ring.style.left = `${picture.left + spot[0] * picture.width}px`;
				ring.style.top = `${picture.top + spot[1] * picture.height}px`;
			}
			this.#drawings(i);
		});
	}

	/** Draws the drawings at the frame on the screen of film i, and the one that is being dragged. @param {number} i */
	#drawings(i) {
		const box = this.#boxes[i];
		const svg = /** @type {SVGSVGElement} */ (box.querySelector("svg"));
		const picture = this.#picture(i);
		const frame = this.screen?.panes[i].frame ?? -9;
		const drag = this.#drag?.box === i ? [{ frame, shape: "arrow", points: [...this.#drag.from, ...this.#drag.to], open: true }] : [];
		const drawn = [...(this.angles[i]?.drawn ?? []), ...drag].filter((d) => Math.abs(d.frame - frame) <= 1);
		if (!picture || (drawn.length === 0 && svg.childElementCount === 0)) {
			return;
		}
		const at = (/** @type {number[]} */ points, /** @type {number} */ n) => [picture.left + points[2 * n] * picture.width, picture.top + points[2 * n + 1] * picture.height];
		svg.replaceChildren(...drawn.map(({ shape, points, open }) => {
			const count = points.length / 2;
			const last = at(points, count - 1);
			const element = document.createElementNS("http://www.w3.org/2000/svg", shape === "circle" ? "circle" : "path");
			if (shape === "circle") {
				element.setAttribute("cx", String(last[0]));
				element.setAttribute("cy", String(last[1]));
				element.setAttribute("r", String(picture.height * 0.05));
			} else {
				let way = Array.from({ length: count }, (_, n) => `${n ? "L" : "M"}${at(points, n).join(" ")}`).join("");
				if (shape === "arrow") {
					const from = at(points, count - 2);
					const turn = Math.atan2(last[1] - from[1], last[0] - from[0]);
					const tip = (/** @type {number} */ by) => `${last[0] - 16 * Math.cos(turn + by)} ${last[1] - 16 * Math.sin(turn + by)}`;
					way += `M${tip(0.5)}L${last.join(" ")}L${tip(-0.5)}`;
				}
				element.setAttribute("d", way);
			}
			element.classList.toggle("open", Boolean(open));
			return element;
		}));
	}

	/** Called for every frame: what lies over the film follows it. */
	followed() {
		this.#over();
	}

	/** The frame of a mark on the large angle. @param {string} mark @returns {number|undefined} */
	frameOf(mark) {
		return this.angles[this.#lead]?.marks?.find((m) => m.mark === mark)?.frame;
	}

	/** The frame that the rep, or else the play, begins or ends at. @param {"in"|"out"} edge */
	edge(edge) {
		return this.frameOf(`own ${edge}`) ?? this.frameOf(edge);
	}

	/** Stands at the next mark, or the one before. @param {boolean} back */
	async #nextMark(back) {
		const here = this.screen?.frame ?? 0;
		const frames = (this.angles[this.#lead]?.marks ?? []).map((m) => m.frame).sort((a, b) => a - b);
		const to = back ? frames.filter((n) => n < here).pop() : frames.find((n) => n > here);
		if (to !== undefined) {
			await this.screen?.show(to);
		}
	}

	/** Stands at a mark, where there is one. @param {string} mark */
	async goTo(mark) {
		const frame = this.frameOf(mark);
		if (frame !== undefined) {
			await this.screen?.show(frame);
		}
	}

	/**
	 * Plays frames of an angle once, the others in step. It resolves to whether it came to the end.
	 * @param {Angle[]} angles
	 * @param {string} angle
	 * @param {{in: number, out: number}} span
	 * @param {() => void} [stands] called when the angle is the large one, before it plays
	 */
	async playOnce(angles, angle, span, stands = () => {}) {
		await this.watch(angles);
		const lead = angles.findIndex((a) => a.angle === angle);
		if (lead >= 0 && lead !== this.#lead) {
			await this.leadBy(lead);
		}
		const { screen } = this;
		if (!screen) {
			return false;
		}
		await screen.show(span.in);
		stands();
		await screen.play();
		return new Promise((/** @type {(whole: boolean) => void} */ done) => {
			const look = () => {
				const whole = screen.frame >= span.out - 1;
				if (!whole && screen.playing) {
					return;
				}
				screen.removeEventListener("frame", look);
				screen.removeEventListener("state", look);
				void (whole ? screen.pause() : Promise.resolve()).then(() => done(whole));
			};
			screen.addEventListener("frame", look);
			screen.addEventListener("state", look);
			look();
		});
	}

	/** Stands at a frame of the large angle. @param {number} frame */
	async show(frame) {
		this.#to = undefined;
		await this.screen?.show(frame);
	}

	/** What a key or button of the film does. @param {string} what */
	async act(what) {
		const { screen } = this;
		this.#to = undefined; // whoever moves the film wants to be nowhere else
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
			case what === "in":
				await this.goTo(this.frameOf("own in") === undefined ? "in" : "own in");
				break;
			case what === "snap":
				await this.goTo(what);
				break;
			case what === "mark on" || what === "mark back":
				await this.#nextMark(what === "mark back");
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
		this.#lay();
		this.dispatchEvent(new Event("frame"));
	}

	/** The frames of the play, where it is to go round. */
	#span() {
		const from = this.edge("in");
		const out = this.edge("out");
		return this.round && from !== undefined && out !== undefined ? { in: from, out } : null;
	}

	/** The timecode and the number of the frame on the screen, and of the one that is to come; while a video plays the second alone. */
	get clock() {
		const { screen } = this;
		if (!screen || screen.frame < 0) {
			return "";
		}
		const { wanted, facts, smooth } = screen.lead;
		if (screen.playing && smooth) { // what a browser tells of a video may be some frames behind
			return `${timecode(facts, screen.frame).slice(0, -3)}  plays`;
		}
		const coming = screen.playing || wanted === screen.frame ? "" : `, coming: ${wanted}`;
		return `${timecode(facts, screen.frame)}  frame ${screen.frame}${coming}`;
	}
}
