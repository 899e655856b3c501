// @ts-check
import { byId, make } from "./form.js";
import { Line } from "./line.js";
import { offer, sheet, tell } from "./sheet.js";
import { Stage } from "./stage.js";
import { tabs } from "./tabs.js";

/**
 * What the server says: board of Go.
 * @typedef {{shot: number, angle: import("./stage.js").Angle, still: number, why?: string}} Shot
 * @typedef {{play: number, situation?: string, yardLine?: string, hash?: string, clock?: string, shots: Shot[]|null, doubt?: string, pinned: boolean, absent: boolean}} Row
 * @typedef {{play: number, shot: number}} Pin
 * @typedef {{looking: boolean, stage?: string, done: number, of: number, said?: string, written: boolean}} State
 * @typedef {{pins: Pin[]|null, leftOut: number[]|null, columns: import("./sheet.js").Told|null}} Moves
 * @typedef {State & Moves & {version: number, file: string, rows: Row[]|null, unused: Shot[]|null, sheet?: import("./sheet.js").Sheet, doubtful: number}} Board
 */

const stage = new Stage(byId("stage"), byId("second"), () => {}, () => {});
const line = new Line(byId("line"), stage);
tabs();

/** @type {Board|null} */
let board = null;
/** What was said before each move, for undoing. @type {Moves[]} */
const before = [];
/** The shot that was picked up; 0 is none. */
let held = 0;
/** The play that is watched, or that the shot in hand is over. */
let play = 0;
let shown = "";

/** @param {string} path @param {object} body @returns {Promise<any>} */
async function send(path, body) {
	const response = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
	if (!response.ok) {
		throw new Error((await response.text()).trim());
	}
	return response.status === 204 ? null : response.json();
}

/** @param {string} text @param {boolean} [wrong] */
function say(text, wrong = false) {
	byId("said").textContent = text;
	byId("said").classList.toggle("wrong", wrong);
}

/** Shows how far a look is. @param {State} state */
function progress(state) {
	const bar = /** @type {HTMLProgressElement} */ (byId("progress"));
	bar.hidden = !state.looking;
	if (state.of > 0) {
		bar.max = state.of;
		bar.value = state.done;
	}
	/** @type {HTMLButtonElement} */ (byId("write")).disabled = state.looking || !board?.rows?.length;
	if (state.written) {
		location.reload();
	} else if (state.looking) {
		say(state.of > 0 ? `${state.stage ?? ""} ${Math.floor((100 * state.done) / state.of)} %` : "Looking");
	} else if (state.said) {
		say(state.said, true);
	} else if (board) {
		say(board.doubtful > 0 ? `${board.doubtful} in doubt` : "Nothing in doubt");
	}
}

async function look() {
	board = await send("board", {});
	show();
}

/** Shows the board. */
function show() {
	if (!board) {
		return;
	}
	const key = JSON.stringify([board.rows, board.unused, board.sheet, said()]);
	if (key !== shown) {
		shown = key;
		const focused = /** @type {HTMLElement|null} */ (document.activeElement)?.dataset;
		byId("rows").replaceChildren(...(board.rows ?? []).map(row));
		byId("unused").replaceChildren(...(board.unused ?? []).map((shot) => make("li", { "data-row": "0" }, card(shot), make("small", {}, shot.why ?? ""))));
		byId("tab-unused").textContent = `Of no play ${board.unused?.length ?? 0}`;
		if (board.sheet) {
			byId("sheet").replaceChildren(...sheet(board.sheet, said().columns));
		} else {
			byId("sheet").textContent = "There is no play sheet: plays have the numbers of their order, and no shot can be moved.";
		}
		if (focused?.shot) {
			byShot(Number(focused.shot))?.focus();
		} else if (focused?.play) {
			/** @type {HTMLElement|null} */ (document.querySelector(`button[data-play="${focused.play}"]`))?.focus();
		} else if (focused?.column) {
			[.../** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-column]"))].find((e) => e.dataset.column === focused.column)?.focus();
		}
		void watch(play || (board.rows?.[0]?.play ?? 0));
	}
	/** @type {HTMLButtonElement} */ (byId("undo")).disabled = before.length === 0;
	progress(board);
}

/** @param {number} shot */
const byShot = (shot) => /** @type {HTMLElement|null} */ (document.querySelector(`.shot[data-shot="${shot}"]`));

/** The stills of shots that are in sight and not asked for yet. @type {HTMLImageElement[]} */
let wanted = [];
let asking = 0;

/** Few stills of shots are asked for at once: those of the film that is watched need their turn. */
function ask() {
	while (asking < 2 && wanted.length > 0) {
		const image = /** @type {HTMLImageElement} */ (wanted.shift());
		asking++;
		const next = () => {
			asking--;
			ask();
		};
		image.addEventListener("load", next, { once: true });
		image.addEventListener("error", next, { once: true });
		image.src = image.dataset.src ?? "";
	}
}

const seen = new IntersectionObserver((entries) => {
	for (const { target, isIntersecting } of entries) {
		const image = /** @type {HTMLImageElement} */ (target);
		wanted = wanted.filter((other) => other !== image && other.isConnected);
		if (isIntersecting && !image.src) {
			wanted.push(image);
		}
	}
	ask();
});

/** @param {Row} row */
function row(row) {
	const where = [row.yardLine, row.hash && `${row.hash} hash`].filter(Boolean).join(", ");
	const said = make("button", { type: "button", "data-play": String(row.play) }, make("strong", {}, `Play ${row.play}`), row.situation ?? "",
		make("small", {}, [where, row.clock].filter(Boolean).join(" · ")),
		make("small", {}, [row.absent && "on no film", row.doubt && `not sure: ${row.doubt}`, row.pinned && "as you said"].filter(Boolean).join(", ")));
	const li = make("li", { "data-row": String(row.play), class: row.pinned ? "pinned" : row.doubt ? "doubt" : "" },
		make("div", { class: "row" }, said), make("div", { class: "shots" }, ...(row.shots ?? []).map(card)));
	return li;
}

/** @param {Shot} shot */
function card(shot) {
	const image = /** @type {HTMLImageElement} */ (make("img", { alt: "" }));
	image.dataset.src = `${shot.angle.film}/stills/${shot.still}.jpg?width=320`;
	seen.observe(image);
	return make("button", { type: "button", class: "shot", "data-shot": String(shot.shot), "aria-pressed": String(shot.shot === held), "aria-label": `Shot ${shot.shot}, ${shot.angle.angle || "no angle"}` },
		image, make("small", {}, `Shot ${shot.shot} ${shot.angle.angle}`));
}

/** Shows the film of a play. @param {number} number */
async function watch(number) {
	const of = board?.rows?.find((r) => r.play === number);
	play = number;
	byId("where").textContent = of ? [`Play ${of.play}`, of.situation, of.yardLine, of.hash && `${of.hash} hash`].filter(Boolean).join(" · ") : "";
	if (of?.shots?.length) {
		await film(of.shots);
	}
}

/** @param {Shot[]} shots */
async function film(shots) {
	await stage.watch(shots.map((shot) => shot.angle), shots[0].angle.marks?.some((m) => m.mark === "snap") ? "snap" : "in");
	line.draw();
	follow();
}

function follow() {
	byId("clock").textContent = stage.clock;
	byId("play").textContent = stage.screen?.playing ? "Stop" : "Play";
	stage.followed();
	line.follow();
}
stage.addEventListener("frame", follow);
stage.addEventListener("state", follow);

/** What was said against what was found. */
const said = () => ({ pins: board?.pins ?? [], leftOut: board?.leftOut ?? [], columns: board?.columns ?? {} });

/** Says which play a shot shows; play 0 is none. @param {number} shot @param {number} to */
async function pair(shot, to) {
	const was = said();
	const pins = was.pins.filter((pin) => pin.shot !== shot && pin.play !== to);
	const leftOut = was.leftOut.filter((n) => n !== shot);
	if (to === 0) {
		leftOut.push(shot);
	} else {
		pins.push({ play: to, shot });
	}
	await change({ ...was, pins, leftOut }, was);
}

/** Says that no film shows a play. @param {number} number */
async function unfilmed(number) {
	const was = said();
	await change({ ...was, pins: [...was.pins.filter((pin) => pin.play !== number), { play: number, shot: 0 }] }, was);
}

/** Says what columns of the sheet are. @param {import("./sheet.js").Told} columns */
async function columns(columns) {
	const was = said();
	await change({ ...was, columns }, was);
}

/** Keeps that in the staff's file. */
async function keep() {
	try {
		say(`Kept in ${(await send("keep", {})).kept}; name it with --columns the next time`);
	} catch (error) {
		say(error instanceof Error ? error.message : String(error), true);
	}
}

/** @param {Moves} to @param {Moves|null} was */
async function change(to, was) {
	try {
		board = await send("pair", to);
		if (was) {
			before.push(was);
		}
		show();
	} catch (error) {
		say(error instanceof Error ? error.message : String(error), true);
	}
}

async function undo() {
	const was = before.pop();
	if (was) {
		await change(was, null);
	}
}

/** Takes a shot in hand, or lays it down. @param {number} shot */
function hold(shot) {
	held = shot;
	for (const each of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".shot"))) {
		each.setAttribute("aria-pressed", String(Number(each.dataset.shot) === held));
	}
	over(shot ? play : -1);
	if (shot) {
		say(`Shot ${shot} is in hand: ↑ ↓ choose the play, Enter lays it down, Esc leaves it`);
	} else if (board) {
		progress(board);
	}
}

/** Shows over which play the shot in hand is; -1 is none. @param {number} number */
function over(number) {
	for (const li of document.querySelectorAll("[data-row]")) {
		li.classList.toggle("over", held > 0 && /** @type {HTMLElement} */ (li).dataset.row === String(number));
	}
	document.querySelector("[data-row].over")?.scrollIntoView({ block: "nearest" });
}

/** The number of the play n rows on. @param {number} from @param {number} n */
function beside(from, n) {
	const numbers = (board?.rows ?? []).map((r) => r.play);
	return numbers[Math.min(Math.max(numbers.indexOf(from) + n, 0), numbers.length - 1)] ?? 0;
}

/** @param {HTMLElement} at */
const playOf = (at) => Number(/** @type {HTMLElement|null} */ (at.closest("[data-row]"))?.dataset.row ?? 0);

document.addEventListener("keydown", (event) => {
	const target = /** @type {HTMLElement} */ (event.target);
	if (event.ctrlKey || event.altKey || event.metaKey || target.matches("select") || target.matches('[role="tab"], [role="slider"]') && event.key.startsWith("Arrow")) {
		return;
	}
	const shot = Number(target.dataset.shot ?? 0);
	const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
	const focusRow = (/** @type {number} */ number) => /** @type {HTMLElement|null} */ (document.querySelector(`button[data-play="${number}"]`))?.focus();
	let done = true;
	switch (true) {
		case held > 0 && step !== undefined:
			play = beside(play, step ?? 0);
			over(play);
			break;
		case held > 0 && event.key === "Enter": {
			const what = held;
			hold(0);
			void pair(what, play);
			break;
		}
		case event.key === "Escape":
			hold(0);
			break;
		case shot > 0 && event.key === "Enter":
			play = playOf(target) || play;
			hold(shot);
			break;
		case shot > 0 && (event.key === "x" || event.key === "Delete"):
			hold(0);
			void pair(shot, 0);
			break;
		case target.dataset.play !== undefined && (event.key === "x" || event.key === "Delete"):
			void unfilmed(Number(target.dataset.play));
			break;
		case step !== undefined && !target.matches("#line"):
			focusRow(beside(play, step ?? 0));
			void watch(beside(play, step ?? 0));
			break;
		case event.key === "n":
			nextDoubt();
			break;
		case event.key === "u":
			void undo();
			break;
		case event.key === " " && !target.matches("button"):
			void stage.act("play");
			break;
		case event.key === "ArrowLeft" || event.key === "ArrowRight":
			void stage.act(event.key === "ArrowLeft" ? "back" : "on");
			break;
		default:
			done = false;
	}
	if (done) {
		event.preventDefault();
	}
});

/** Goes to the next play that is not sure. */
function nextDoubt() {
	const rows = (board?.rows ?? []).filter((r) => r.doubt && !r.pinned);
	const next = rows.find((r) => r.play > play) ?? rows[0];
	if (next) {
		void watch(next.play);
		document.querySelector(`[data-row="${next.play}"]`)?.scrollIntoView({ block: "center" });
		/** @type {HTMLElement|null} */ (document.querySelector(`button[data-play="${next.play}"]`))?.focus();
	}
}

// Dragging, by mouse or finger.
let moved = false;
document.addEventListener("pointerdown", (event) => {
	const shot = /** @type {HTMLElement} */ (event.target).closest(".shot");
	if (!(shot instanceof HTMLElement) || !event.isPrimary || event.button !== 0) {
		return;
	}
	const from = { x: event.clientX, y: event.clientY };
	const number = Number(shot.dataset.shot);
	moved = false;
	const move = (/** @type {PointerEvent} */ e) => {
		if (!moved && Math.hypot(e.clientX - from.x, e.clientY - from.y) < 8) {
			return;
		}
		if (!moved) {
			moved = true;
			hold(number);
			shot.classList.add("dragged");
		}
		const list = byId("panel-rows").getBoundingClientRect(); // at its edges the list moves on
		byId("panel-rows").scrollBy(0, e.clientY < list.top + 24 ? -24 : e.clientY > list.bottom - 24 ? 24 : 0);
		const under = document.elementFromPoint(e.clientX, e.clientY);
		play = under instanceof HTMLElement && under.closest("[data-row]") ? playOf(under) : -1;
		over(play);
	};
	const end = () => {
		document.removeEventListener("pointermove", move);
		document.removeEventListener("pointerup", end);
		document.removeEventListener("pointercancel", end);
		shot.classList.remove("dragged");
		if (moved) {
			const to = play;
			hold(0);
			if (to >= 0 && to !== playOf(shot)) {
				void pair(number, to);
			}
		}
	};
	document.addEventListener("pointermove", move);
	document.addEventListener("pointerup", end);
	document.addEventListener("pointercancel", end);
});

document.addEventListener("click", (event) => {
	const button = /** @type {HTMLElement} */ (event.target).closest("button");
	if (!button || moved) {
		moved = false;
		return;
	}
	const shot = Number(button.dataset.shot ?? 0);
	switch (true) {
		case shot > 0: {
			const all = [...(board?.unused ?? []), ...(board?.rows ?? []).flatMap((r) => r.shots ?? [])];
			play = playOf(button) || play;
			void film(all.filter((s) => s.shot === shot));
			break;
		}
		case button.dataset.play !== undefined:
			void watch(Number(button.dataset.play));
			break;
		case button.dataset.film !== undefined:
			void stage.act(button.dataset.film ?? "");
			break;
		case button.dataset.column !== undefined && Boolean(board?.sheet): {
			const { sheet } = /** @type {{sheet: import("./sheet.js").Sheet}} */ (board);
			offer(button, sheet, (heading, field) => void columns(tell(sheet, said().columns, heading, field)));
			break;
		}
		case button.id === "keep":
			void keep();
			break;
		case button.id === "as-read":
			void columns({});
			break;
		case button.id === "undo":
			void undo();
			break;
		case button.id === "doubt":
			nextDoubt();
			break;
		case button.id === "write":
			say("Writing");
			void send("write", {}).then(() => location.reload(), (error) => say(error.message, true));
			break;
	}
});

const changes = new EventSource("changes");
let version = 0;
changes.addEventListener("board", (event) => {
	const told = JSON.parse(/** @type {MessageEvent} */ (event).data);
	progress(told.state);
	if (!told.state.looking && told.version !== version) {
		version = told.version;
		void look();
	}
});

// For tests.
Object.assign(window, { board: () => board, at: () => stage.at });
