// @ts-check

/** How much film is shown on both sides of a play, in seconds. */
const around = 2;

/** The line of time below the film: the play, what is marked in it, sound and motion. */
export class Line {
	#element;
	#canvas = document.createElement("canvas");
	#at = document.createElement("div");
	/** @type {import("./stage.js").Stage} */ #stage;
	#from = 0;
	#to = 1;
	/** @type {Map<string, {sound: Uint8Array|null, motion: Uint8Array|null}>} */ #strips = new Map();
	#drawn = "";

	/** @param {HTMLElement} element @param {import("./stage.js").Stage} stage */
	constructor(element, stage) {
		this.#element = element;
		this.#stage = stage;
		this.#canvas.setAttribute("aria-hidden", "true");
		this.#at.className = "at";
		element.append(this.#canvas, this.#at);
		const seek = (/** @type {PointerEvent} */ event) => {
			const bounds = element.getBoundingClientRect();
			const share = Math.min(Math.max((event.clientX - bounds.left) / bounds.width, 0), 1);
			void stage.show(Math.round(this.#from + share * (this.#to - this.#from)));
		};
		element.addEventListener("pointerdown", (event) => {
			element.setPointerCapture(event.pointerId);
			seek(event);
		});
		element.addEventListener("pointermove", (event) => element.hasPointerCapture(event.pointerId) && seek(event));
		new ResizeObserver(() => this.draw(true)).observe(element);
	}

	/** Draws the play again. @param {boolean} [again] though nothing changed */
	draw(again = false) {
		const { screen, angles, angle } = this.#stage;
		if (!screen) {
			return;
		}
		const { facts } = screen.lead;
		const fps = facts.rate.num / facts.rate.den;
		const marks = angles.find((a) => a.angle === angle)?.marks ?? [];
		const frame = (/** @type {string} */ name) => marks.find((m) => m.mark === name)?.frame;
		const here = screen.lead.wanted; // and not what was on the screen before
		const first = frame("in") ?? frame("snap") ?? here - 4 * fps;
		const last = frame("out") ?? (frame("snap") ?? here) + 6 * fps;
		let [from, to] = [Math.min(first, last) - around * fps, Math.max(first, last) + around * fps];
		if (here < from || here > to) { // the film was taken elsewhere
			[from, to] = [here - 5 * fps, here + 5 * fps];
		}
		[from, to] = [Math.max(from, 0), Math.min(to, facts.frames - 1)];
		const key = JSON.stringify([angle, Math.round(from), Math.round(to), marks]);
		if ((from !== this.#from || to !== this.#to) && this.#inside(here) && this.#drawn.startsWith(`["${angle}"`) && frame("in") === undefined) {
			this.follow(); // with nothing marked the line stays while the film runs over it
			return;
		}
		if (again || key !== this.#drawn) {
			this.#drawn = key;
			[this.#from, this.#to] = [from, to];
			this.#marks(marks);
			this.#strip();
		}
		this.follow();
	}

	/** @param {number} frame */
	#inside(frame) {
		return frame >= this.#from && frame <= this.#to;
	}

	/** Shows which frame is on the screen. */
	follow() {
		const { screen, clock } = this.#stage;
		if (!screen) {
			return;
		}
		if (!this.#inside(screen.lead.wanted) && !screen.playing && this.#drawn) {
			this.#drawn = "";
			this.draw();
			return;
		}
		this.#at.style.left = `${this.#share(screen.frame) * 100}%`;
		this.#element.setAttribute("aria-valuemin", String(Math.round(this.#from)));
		this.#element.setAttribute("aria-valuemax", String(Math.round(this.#to)));
		this.#element.setAttribute("aria-valuenow", String(screen.frame));
		this.#element.setAttribute("aria-valuetext", clock);
	}

	/** @param {number} frame */
	#share(frame) {
		return (frame - this.#from) / Math.max(this.#to - this.#from, 1);
	}

	/** @param {import("./stage.js").Mark[]} marks */
	#marks(marks) {
		for (const old of this.#element.querySelectorAll(".mark")) {
			old.remove();
		}
		const sorted = [...marks].sort((a, b) => a.frame - b.frame);
		let last = -1;
		let row = 0;
		for (const mark of sorted) {
			const share = this.#share(mark.frame);
			row = share - last < 0.09 ? (row + 1) % 3 : 0; // so that names do not cover each other
			last = share;
			const line = document.createElement("div");
			line.className = `mark${mark.guess ? " guess" : ""}${["", " low", " lower"][row]}`;
			line.style.left = `${share * 100}%`;
			line.textContent = mark.guess ? `${mark.name}?` : mark.name;
			this.#element.append(line);
		}
	}

	/** Draws sound and motion, once the server has them. */
	#strip() {
		const { screen } = this.#stage;
		const pen = this.#canvas.getContext("2d");
		if (!screen || !pen) {
			return;
		}
		this.#canvas.width = this.#element.clientWidth;
		this.#canvas.height = this.#element.clientHeight;
		const film = this.#stage.angles.find((a) => a.angle === this.#stage.angle)?.film ?? "";
		let strips = this.#strips.get(film);
		if (!strips) {
			strips = { sound: null, motion: null };
			this.#strips.set(film, strips);
			for (const kind of /** @type {const} */ (["sound", "motion"])) {
				void screen.lead.strip(kind).then((bytes) => {
					/** @type {{sound: Uint8Array|null, motion: Uint8Array|null}} */ (strips)[kind] = bytes;
					this.#strip();
				}, () => {}); // film without them is watched all the same
			}
		}
		const { facts } = screen.lead;
		const fps = facts.rate.num / facts.rate.den;
		pen.clearRect(0, 0, this.#canvas.width, this.#canvas.height);
		const draw = (/** @type {Uint8Array|null} */ bytes, /** @type {string} */ colour, /** @type {number} */ top, /** @type {number} */ height) => {
			if (!bytes) {
				return;
			}
			pen.fillStyle = colour;
			const first = Math.floor((this.#from / fps) * facts.columns);
			const last = Math.ceil((this.#to / fps) * facts.columns);
			for (let i = Math.max(first, 0); i <= Math.min(last, bytes.length - 1); i++) {
				const x = this.#share((i / facts.columns) * fps) * this.#canvas.width;
				const width = this.#canvas.width / Math.max(last - first, 1);
				const tall = (bytes[i] / 255) * height;
				pen.fillRect(x, top + height - tall, Math.max(width - 1, 1), tall);
			}
		};
		draw(strips.motion, "#2c4a5c", 0, this.#canvas.height / 2);
		draw(strips.sound, "#4a4433", this.#canvas.height / 2, this.#canvas.height / 2);
	}
}
