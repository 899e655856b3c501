// @ts-check

/** @typedef {import("./film.js").Pane} Pane */

/**
 * Several films in step, one of which leads: it is the one that is stepped, played and heard,
 * and the others show what was filmed at the same time. Events are the panes' own, and `frame`,
 * `state` and `fault` of the screen itself whenever one of its panes has them.
 */
export class Screen extends EventTarget {
	/** The films. @type {readonly Pane[]} */
	panes;

	/** Frames that are of one moment, one of each film. @type {number[]} */
	#snaps;
	#lead = 0;
	#speed = 1;
	#muted = false;
	#expecting = new AbortController();

	/** @param {Pane[]} panes at least one */
	constructor(panes) {
		super();
		this.panes = [...panes];
		this.#snaps = panes.map(() => 0);
		for (const [i, pane] of panes.entries()) {
			pane.addEventListener("frame", () => this.#moved(i));
			pane.addEventListener("state", () => this.#stated(i));
			pane.addEventListener("fault", () => this.dispatchEvent(new Event("fault")));
		}
		this.muted = false;
	}

	/** The pane that leads. */
	get lead() {
		return this.panes[this.#lead];
	}

	/**
	 * Has film i lead, from where it is in step.
	 * @param {number} i
	 */
	async leadBy(i) {
		const { playing } = this;
		await this.pause();
		this.#lead = i;
		this.muted = this.#muted;
		if (playing) {
			await this.play();
		}
	}

	/** The number of the frame that the leading film shows. */
	get frame() {
		return this.lead.frame;
	}

	/** When that is, on the leading film's own time, in seconds. */
	get seconds() {
		return this.lead.seconds;
	}

	/** Whether the films play. */
	get playing() {
		return this.lead.playing;
	}

	/** How fast they play, from 0.1 to 2. */
	get speed() {
		return this.#speed;
	}

	set speed(speed) {
		for (const pane of this.panes) {
			pane.speed = speed;
		}
		this.#speed = this.lead.speed;
	}

	/** Whether the leading film's sound is off. The others are not heard. */
	get muted() {
		return this.#muted;
	}

	set muted(off) {
		this.#muted = off;
		for (const [i, pane] of this.panes.entries()) {
			pane.muted = off || i !== this.#lead;
		}
	}

	/**
	 * Says which frames show one moment, such as the snap: one of each film, in order of panes.
	 * Films that stand are brought in step with the leading one.
	 * @param {number[]} snaps
	 */
	async align(snaps) {
		this.#snaps = [...snaps];
		if (!this.playing) {
			await Promise.all(this.panes.map((pane, i) => i !== this.#lead && this.frame >= 0 && pane.show(this.inStep(i, this.frame))));
		}
	}

	/**
	 * The frame of film i that is on when frame n of the leading film starts. It may lie
	 * outside the film.
	 * @param {number} i
	 * @param {number} n
	 */
	inStep(i, n) {
		const { rate } = this.lead.facts;
		const own = this.panes[i].facts.rate;
		return this.#snaps[i] + Math.floor(((n - this.#snaps[this.#lead]) * rate.den * own.num) / (rate.num * own.den));
	}

	/**
	 * Stands still at frame n of the leading film. It resolves once all films show theirs, or
	 * another was asked for.
	 * @param {number} n
	 */
	async show(n) {
		n = this.lead.clamp(n);
		await Promise.all(this.panes.map((pane, i) => pane.show(i === this.#lead ? n : this.inStep(i, n))));
	}

	/**
	 * Stands still so many frames on or back.
	 * @param {number} frames
	 */
	step(frames) {
		return this.show(this.lead.wanted + frames);
	}

	/**
	 * Plays all from where the leading film is; round and round where a span of its frames is
	 * given, from its in to the frame before its out.
	 * @param {{in: number, out: number}|null} [span]
	 */
	async play(span = null) {
		this.speed = this.#speed;
		await this.lead.play(span);
	}

	/** Stops playing: the leading film stands at the frame that was on the screen, the others in step with it. */
	async pause() {
		await this.lead.pause();
		await Promise.all(this.panes.map((pane, i) => i !== this.#lead && pane.show(this.inStep(i, this.frame))));
	}

	/**
	 * Gets ready for jumps to frames of the leading film, such as the ins and snaps of the next
	 * plays, the likeliest first. It replaces what was expected before.
	 * @param {number[]} frames
	 */
	async expect(frames) {
		this.#expecting.abort();
		const { signal } = (this.#expecting = new AbortController());
		// One after the other: a browser has six connections to a server, and stills that are
		// waited for need theirs.
		for (const n of frames) {
			for (const [i, pane] of this.panes.entries()) {
				try {
					await pane.expect(i === this.#lead ? n : this.inStep(i, n), signal);
				} catch {
					return; // others are expected, or the server is away: who wants the frame is told
				}
			}
		}
	}

	/** Lets go of all films. */
	close() {
		this.#expecting.abort();
		for (const pane of this.panes) {
			pane.close();
		}
	}

	/** @param {number} i */
	#moved(i) {
		if (i === this.#lead && this.playing) {
			for (const [other, pane] of this.panes.entries()) {
				if (other !== i) {
					this.#bring(other, pane);
				}
			}
		}
		this.dispatchEvent(new Event("frame"));
	}

	/** Brings a film in step with the leading one, which plays. @param {number} i @param {Pane} pane */
	#bring(i, pane) {
		const n = this.inStep(i, this.frame);
		if (!this.lead.smooth || !pane.smooth || n < 0 || n >= pane.facts.frames) {
			if (pane.wanted !== pane.clamp(n)) {
				void pane.show(n);
			}
			return;
		}
		if (!pane.playing) {
			void pane.play(null, n);
			return;
		}
		const { rate } = this.lead.facts;
		const own = pane.facts.rate;
		const offset = (this.#snaps[i] * own.den) / own.num - (this.#snaps[this.#lead] * rate.den) / rate.num;
		pane.follow(this.lead.playedTo + offset, this.#speed);
	}

	/** @param {number} i */
	#stated(i) {
		if (i === this.#lead && !this.playing) {
			for (const [other, pane] of this.panes.entries()) {
				if (other !== i && pane.playing) {
					void pane.show(this.inStep(other, this.frame));
				}
			}
		}
		this.dispatchEvent(new Event("state"));
	}
}
