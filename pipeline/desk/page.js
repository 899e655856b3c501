// @ts-check
import { byId, show, wrote } from "./form.js";
import { Line } from "./line.js";
import { Reel } from "./reel.js";
import { Stage } from "./stage.js";
import { tabs } from "./tabs.js";

/** @typedef {import("./form.js").Desk} Desk */
/** @typedef {import("./form.js").View} View */

/** Where the desk is kept while the page is loaded again. */
const kept = "desk";

/** @type {Desk} */
let desk = JSON.parse(sessionStorage.getItem(kept) ?? '{"pass":"plays","play":0}');
/** @type {View|null} */
let view = null;
/** What is to be sent, one after the other. */
let queue = Promise.resolve();
let waiting = 0;
let gone = false;

const stage = new Stage(byId("stage"), byId("second"), 
	(angle, frame, x, y) => act({ do: "clicked", x, y }, { angle, frame }),
	(angle, frame, [x, y], [toX, toY]) => act({ do: "drawn", x, y, toX, toY }, { angle, frame }));
const line = new Line(byId("line"), stage);
tabs();

const reel = new Reel(stage, send, () => {
	void stage.watch(view?.angles ?? [], "in").then(() => line.draw());
});

/** @param {string} path @param {object} body @returns {Promise<any>} */
async function send(path, body) {
	const response = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
	if (!response.ok) {
		throw new Error(await response.text());
	}
	return response.status === 204 ? null : response.json();
}

/**
 * Does something at the desk, after all that was done before it.
 * @param {Record<string, unknown>} what
 * @param {{angle: string, frame: number}|Promise<{angle: string, frame: number}>} [at] what is on the screen
 */
function act(what, at = stage.seenAt(performance.now())) {
	waiting++;
	saved();
	queue = queue.then(async () => {
		try {
			took(await send("act", { desk, act: { ...what, at: await at } }));
			gone = false;
		} catch (error) {
			gone = true;
			console.error(error);
		}
		waiting--;
		saved();
	});
	return queue;
}

/** Asks what the game looks like now. */
function look() {
	queue = queue.then(async () => {
		try {
			took(await send("view", { desk }));
			gone = false;
		} catch {
			gone = true;
		}
		saved();
	});
	return queue;
}

/** @param {{desk: Desk, view: View}} answer */
function took(answer) {
	const before = view ? { play: desk.play, rep: desk.rep, angles: JSON.stringify(view.angles) } : null;
	({ desk, view } = answer);
	sessionStorage.setItem(kept, JSON.stringify({ ...desk, said: "", wrong: false }));
	show(desk, view);
	const keys = /** @type {HTMLDialogElement} */ (byId("keys"));
	if ((desk.ask === "keys") !== keys.open) {
		desk.ask === "keys" ? keys.showModal() : keys.close();
	}
	byId("no-film").hidden = Boolean(view.angles?.length);
	if (JSON.stringify(view.angles) !== before?.angles || before.play !== desk.play) {
		const elsewhere = before?.play !== desk.play;
		void stage.watch(view.angles ?? [], elsewhere ? (desk.pass === "plays" ? "snap" : "in") : desk.ask === "spot" ? "snap" : undefined).then(() => {
			line.draw();
			follow();
		});
	}
}

/** Says whether all that was done is saved. */
function saved() {
	const state = byId("saved");
	state.classList.toggle("wrong", gone || Boolean(view?.broken));
	if (gone) {
		state.textContent = "Not saved: trenchcut mark has ended. Start it again and open its address.";
	} else if (view?.readOnly) {
		state.textContent = "Only to look at";
	} else if (view?.broken) {
		state.textContent = "Not saved: the tag file cannot be read";
	} else {
		state.textContent = waiting > 0 ? "Saving" : "Saved";
	}
}

/** Shows where the film is. */
function follow() {
	byId("clock").textContent = stage.clock;
	byId("speed").textContent = `${stage.screen?.speed ?? 1} ×`;
	byId("play").textContent = stage.screen?.playing ? "Stop" : "Play";
	byId("loop").setAttribute("aria-pressed", String(stage.round));
	stage.followed();
	line.follow();
}

stage.addEventListener("frame", follow);
stage.addEventListener("state", () => {
	line.draw();
	follow();
});

/** The keys of the film: what each does. @type {Record<string, string>} */
const filmKeys = JSON.parse(document.body.dataset.filmKeys ?? "{}");

/** What the keyboard does to the film; empty is nothing. @param {KeyboardEvent} event */
function filmKey(event) {
	const typing = Boolean(desk.open || desk.ask);
	const placing = desk.open?.startsWith("spot.") || desk.open === "draw";
	if (typing && /^[\p{L}\p{N}>=\-;/:]$/u.test(event.key) || event.key.startsWith("Arrow") && placing) {
		return "";
	}
	const what = filmKeys[event.key] ?? "";
	return event.shiftKey && (what === "on" || what === "back") ? `${what}10` : what;
}

/** The keys that are sent as they are called; of all others those of one character are. */
const named = ["Enter", "Escape", "Backspace", "ArrowUp", "ArrowDown", "ArrowLeft", "ArrowRight", "PageUp", "PageDown", "Home", "End", "Insert", "Delete",
	"F2", "F3", "F4", "F6", "F7", "F8", "F9", "F10"];

document.addEventListener("keydown", (event) => {
	const target = /** @type {HTMLElement} */ (event.target);
	if (event.isComposing || event.altKey) {
		return;
	}
	if (event.ctrlKey || event.metaKey) {
		const undo = event.key.toLowerCase() === "z" && target.tagName !== "TEXTAREA";
		if (undo || event.key === "y" && target.tagName !== "TEXTAREA") {
			event.preventDefault();
			void act({ do: event.shiftKey || event.key === "y" ? "redo" : "undo" });
		}
		return;
	}
	if (target.matches("input, select, a")) {
		return; // the browser's own
	}
	if (target.tagName === "TEXTAREA") {
		if (event.key === "Enter" && !event.shiftKey) {
			event.preventDefault();
			void act(wrote());
			target.blur();
		} else if (event.key === "Escape") {
			target.blur();
			void act({ do: "key", key: "Escape" });
		}
		return;
	}
	const focused = target.matches("button:focus-visible");
	if (event.key === "Tab" || focused && (event.key === "Enter" || event.key === " ") || /** @type {HTMLDialogElement} */ (byId("keys")).open && event.key === "Tab") {
		return; // the browser's own
	}
	if (target.matches('[role="tab"]') && event.key.startsWith("Arrow")) {
		return;
	}
	if (target.matches('[role="tabpanel"]') && !desk.open && !desk.ask && (event.key === "ArrowUp" || event.key === "ArrowDown")) {
		return; // a long list is scrolled
	}
	const film = filmKey(event);
	if (film) {
		event.preventDefault();
		void stage.act(film);
		return;
	}
	if ([...event.key].length === 1 || named.includes(event.key)) {
		event.preventDefault();
		void act({ do: "key", key: event.key }, stage.seenAt(event.timeStamp));
	}
});

document.addEventListener("click", (event) => {
	const button = /** @type {HTMLElement} */ (event.target).closest("button");
	if (!button) {
		return;
	}
	if (event.detail > 0) {
		button.blur(); // so that the next key is the desk's
	}
	const { film, take, key, field, play, rep, pass, to } = button.dataset;
	const does = button.dataset.do;
	switch (true) {
		case button.id === "keys-close":
			void act({ do: "key", key: "Escape" });
			break;
		case film !== undefined:
			void stage.act(film);
			break;
		case to !== undefined:
			void stage.goTo(to);
			break;
		case take !== undefined:
			void act({ do: "take", text: take });
			break;
		case key === "Enter" && view?.kind === "text":
			void act(wrote());
			break;
		case key !== undefined:
			void act({ do: "key", key }, stage.seenAt(event.timeStamp));
			break;
		case field !== undefined:
			void act({ do: "open", field });
			break;
		case play !== undefined:
			void act({ do: "go", play: Number(play), rep });
			break;
		case pass !== undefined:
			void act({ do: pass });
			break;
		case does !== undefined:
			void act({ do: does });
			break;
	}
});

byId("keys").addEventListener("close", () => desk.ask === "keys" && act({ do: "key", key: "Escape" }));

const changes = new EventSource("changes");
changes.onmessage = (/** @type {MessageEvent} */ event) => {
	if (!view || Number(event.data) !== view.version) {
		void look();
	}
};
changes.addEventListener("making", (event) => reel.told(JSON.parse(/** @type {MessageEvent} */ (event).data)));
changes.onopen = () => void look();

// For tests: the page at rest, and film shown at a frame of an angle.
Object.assign(window, {
	desk: () => ({ desk, view, waiting, gone, at: stage.at }),
	atRest: () => queue,
	showFrame: async (/** @type {string} */ angle, /** @type {number} */ frame) => {
		const i = stage.angles.findIndex((a) => a.angle === angle);
		if (stage.angle !== angle) {
			await stage.leadBy(i);
		}
		await stage.show(frame);
		return stage.at;
	},
});
