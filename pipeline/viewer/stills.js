// @ts-check

/** How many stills are fetched ahead of the one shown, on each side, and how many are kept. */
export const ahead = 12;
const mostKept = 240;

/** The stills of one film for one pane: fetched once, kept for a while, and fetched ahead. */
export class Stills {
	#base;
	#frames;
	#width;
	#name = Math.random().toString(36).slice(2);
	/** By frame, those asked for last at the end. @type {Map<number, Promise<Blob>>} */
	#kept = new Map();
	/** Ends what is fetched for frames that are no longer wanted. */
	#fetching = new AbortController();
	/** The frame around which stills were fetched last. */
	#fetchedAt = 0;

	/**
	 * @param {string} base the film's address
	 * @param {number} frames how many it has
	 * @param {number} width how many pixels wide stills are
	 */
	constructor(base, frames, width) {
		this.#base = base;
		this.#frames = frames;
		this.#width = width;
	}

	/** Whether the still of frame n is there or on its way. @param {number} n */
	asked(n) {
		return this.#kept.has(n);
	}

	/**
	 * The still of frame n, while frame at is on the screen.
	 * @param {number} n
	 * @param {number} at
	 * @returns {Promise<Blob>}
	 */
	get(n, at) {
		let picture = this.#kept.get(n);
		this.#kept.delete(n);
		if (!picture) {
			picture = this.#fetch(n, at);
			picture.catch(() => this.#kept.get(n) === picture && this.#kept.delete(n));
		}
		this.#kept.set(n, picture);
		for (const old of this.#kept.keys()) {
			if (this.#kept.size <= mostKept) {
				break;
			}
			this.#kept.delete(old);
		}
		return picture;
	}

	/**
	 * Fetches stills around frame n, the nearest first.
	 * @param {number} n
	 * @param {boolean} back those before it first
	 * @param {() => boolean} wanted whether they still are
	 */
	async ahead(n, back, wanted) {
		for (let by = 1; by <= ahead; by++) {
			for (const next of back ? [n - by, n + by] : [n + by, n - by]) {
				if (!wanted()) {
					return;
				}
				if (next >= 0 && next < this.#frames) {
					await this.get(next, n).catch(() => {}); // who wants it is told
				}
			}
		}
	}

	/**
	 * Gets ready for a jump to frame n, when the server has time.
	 * @param {number} n
	 * @param {AbortSignal} signal ends it
	 */
	async expect(n, signal) {
		const answer = await fetch(`${this.#base}/stills/${n}.jpg?width=${this.#width}`, { signal });
		const picture = await answer.blob();
		if (answer.ok && !this.#kept.has(n)) {
			this.#kept.set(n, Promise.resolve(picture));
		}
	}

	/** Ends what is fetched. */
	close() {
		this.#fetching.abort();
	}

	/** @param {number} n @param {number} at */
	async #fetch(n, at) {
		if (Math.abs(this.#fetchedAt - at) > 2 * ahead) { // a jump: what is under way is of elsewhere
			this.#fetching.abort();
			this.#fetching = new AbortController();
		}
		this.#fetchedAt = at;
		const answer = await fetch(`${this.#base}/stills/${n}.jpg?width=${this.#width}&view=${this.#name}&at=${at}`, { signal: this.#fetching.signal });
		if (!answer.ok) {
			throw new Error((await answer.text()).trim());
		}
		return answer.blob();
	}
}
