// @ts-check
import { lay, slate } from "./drawn.js";
import { byId, make } from "./form.js";

/**
 * @typedef {{play: number, rep?: string, shown: string, angle?: string, in: number, out: number, drawn?: string, seconds?: number}} Take
 * @typedef {{stage: string, done: number, of: number, said?: string, wrong?: boolean, made?: string, ended: boolean}} Making
 */

/** The panel in which a reel is asked for, watched before it is made, and made. */
export class Reel {
	/** @type {Take[]} */ #takes = [];
	/** Ends the preview that goes on. */
	#going = new AbortController();
	#stage;
	#send;
	#left;

	/**
	 * @param {import("./stage.js").Stage} stage
	 * @param {(path: string, body: object) => Promise<any>} send
	 * @param {() => void} left called when the film is the desk's again
	 */
	constructor(stage, send, left) {
		this.#stage = stage;
		this.#send = send;
		this.#left = left;
		byId("reel-preview").addEventListener("click", () => void this.#choose(true));
		byId("reel-list").addEventListener("click", (event) => {
			const take = /** @type {HTMLElement} */ (event.target).closest("button")?.dataset.number;
			if (take !== undefined) {
				void this.#play(Number(take));
			}
		});
		byId("reel-make").addEventListener("click", () => void this.#make());
		byId("reel-stop").addEventListener("click", () => void this.#send("stop", {}));
		for (const id of ["reel-terms", "reel-title"]) {
			byId(id).addEventListener("keydown", (event) => {
				event.stopPropagation(); // these keys are typed
				if (event.key === "Enter") {
					void this.#choose(true);
				} else if (event.key === "Escape") {
					byId(id).blur();
				}
			});
		}
	}

	/** What is asked for. */
	get #asked() {
		const value = (/** @type {string} */ id) => /** @type {HTMLInputElement} */ (byId(id)).value.trim();
		return { terms: value("reel-terms"), recipe: value("reel-recipe"), title: value("reel-title"), plays: /** @type {HTMLInputElement} */ (byId("reel-plays")).checked };
	}

	/** @param {string} text @param {boolean} [wrong] */
	#say(text, wrong = false) {
		byId("reel-said").textContent = text;
		byId("reel-said").classList.toggle("wrong", wrong);
	}

	/** Asks what the reel would show, and plays it. @param {boolean} play */
	async #choose(play) {
		this.#going.abort();
		this.#say("choosing");
		try {
			const { takes, title, said } = await this.#send("preview", this.#asked);
			this.#takes = takes ?? [];
			this.#say(said ?? `${title}: ${this.#takes.filter((take) => !take.seconds).length} to watch`, Boolean(said));
			byId("reel-list").replaceChildren(...this.#takes.map((take, i) => make("li", {}, make("button", { type: "button", "data-number": String(i) }, take.shown))));
			if (play && this.#takes.length > 0) {
				await this.#play(0);
			}
		} catch (error) {
			this.#say(String(error instanceof Error ? error.message : error), true);
		}
	}

	/** Plays the takes one after the other, as they are filmed, with the slates and labels of the reel. @param {number} from */
	async #play(from) {
		this.#going.abort();
		const { signal } = (this.#going = new AbortController());
		for (const [i, take] of this.#takes.entries()) {
			if (i < from) {
				continue;
			}
			for (const button of byId("reel-list").querySelectorAll("button")) {
				button.toggleAttribute("aria-current", button.dataset.number === String(i));
			}
			if (!(await (take.seconds ? this.#slate(take, signal) : this.#film(take, signal))) || signal.aborted) {
				break;
			}
		}
		if (!signal.aborted) {
			byId("reel-list").querySelector("[aria-current]")?.removeAttribute("aria-current");
			this.#left();
		}
	}

	/** @param {Take} take @param {AbortSignal} signal */
	async #slate(take, signal) {
		await this.#stage.screen?.pause();
		return slate(byId("stage"), take.drawn ?? "", take.shown, take.seconds ?? 0, byId("panel-reel"), signal);
	}

	/** @param {Take} take @param {AbortSignal} signal */
	async #film(take, signal) {
		const [{ view }, drawn] = await Promise.all([
			this.#send("view", { desk: { pass: "reps", play: take.play, rep: take.rep ?? "" } }),
			fetch(take.drawn ?? "", { signal }).then((answer) => (answer.ok ? answer.json() : []), () => []),
		]);
		if (signal.aborted) {
			return false;
		}
		let away = () => {};
		const whole = await this.#stage.playOnce(view.angles ?? [], take.angle ?? "", take, () => {
			away = lay(this.#stage, drawn);
		});
		away();
		return whole;
	}

	async #make() {
		try {
			await this.#send("make", this.#asked);
		} catch (error) {
			this.#say(String(error instanceof Error ? error.message : error), true);
		}
	}

	/** Shows how far the reel is. @param {Making} making */
	told(making) {
		const bar = /** @type {HTMLProgressElement} */ (byId("reel-progress"));
		bar.hidden = making.ended;
		byId("reel-stop").hidden = making.ended;
		if (making.of > 0) {
			bar.max = making.of;
			bar.value = making.done;
		} else {
			bar.removeAttribute("value");
		}
		if (!making.ended) {
			this.#say(`${making.stage}${making.of > 0 ? `, ${Math.floor((100 * making.done) / making.of)} %` : ""}`);
			return;
		}
		this.#say(making.said ?? "", making.wrong);
		const made = /** @type {HTMLAnchorElement} */ (byId("reel-made"));
		made.hidden = !making.made;
		if (making.made) {
			made.href = making.made;
		}
	}
}
