// @ts-check

/**
 * What the server says: mark.Desk and mark.View.
 * @typedef {{pass: string, play: number, rep?: string, open?: string, ask?: string, typed?: string, pick?: number, said?: string, wrong?: boolean}} Desk
 * @typedef {{play: number, rep?: string, shown: string, more?: string, begun?: boolean, guess?: boolean, here?: boolean}} Row
 * @typedef {{value: string, shown: string, key?: string}} Choice
 * @typedef {{field: string, name: string, value?: string, open?: boolean, fault?: string, mark?: boolean}} Shown
 * @typedef {{pass: string, play: number, rep?: string, who?: string, what: string}} Todo
 * @typedef {object} View
 * @property {number} version
 * @property {boolean} readOnly
 * @property {string} [broken]
 * @property {number} others
 * @property {string} [undo]
 * @property {string} [redo]
 * @property {Row[]|null} plays
 * @property {Row[]|null} reps
 * @property {boolean} begun
 * @property {string} [wants]
 * @property {Shown[]|null} fields
 * @property {Choice[]|null} offered
 * @property {string} [asked]
 * @property {string} [kind]
 * @property {string} [text]
 * @property {import("./stage.js").Angle[]|null} angles
 * @property {Todo[]|null} todo
 * @property {string[]|null} counts
 * @property {string[]} [faults]
 */

/** @param {string} id */
export const byId = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

/**
 * Makes an element.
 * @param {string} tag
 * @param {Record<string, string>} [attributes]
 * @param {...(Node|string)} children
 */
export function make(tag, attributes = {}, ...children) {
	const element = document.createElement(tag);
	for (const [name, value] of Object.entries(attributes)) {
		element.setAttribute(name, value);
	}
	element.append(...children);
	return element;
}

/** What each part of the page showed last, so that what is as it was stays untouched. @type {Map<string, string>} */
const shown = new Map();

/**
 * Puts children into the element of an id, where they are not those it has.
 * @param {string} id
 * @param {unknown} of what they are made of
 * @param {() => (Node|string)[]} children
 */
function fill(id, of, children) {
	const key = JSON.stringify(of ?? null);
	if (shown.get(id) !== key) {
		shown.set(id, key);
		byId(id).replaceChildren(...children());
	}
}

/**
 * Shows a view.
 * @param {Desk} desk
 * @param {View} view
 */
export function show(desk, view) {
	for (const pass of ["plays", "reps"]) {
		byId(`pass-${pass}`).setAttribute("aria-pressed", String(desk.pass === pass));
		for (const element of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(`[data-for="${pass}"]`))) {
			element.hidden = desk.pass !== pass;
		}
	}
	const here = view.reps?.find((rep) => rep.here);
	const play = view.plays?.find((row) => row.here);
	byId("where").textContent = [play && `${play.shown}${play.guess ? ", the snap is a guess" : ""}`, desk.pass === "reps" && here?.shown].filter(Boolean).join(" · ");
	byId("play-name").textContent = play?.shown ?? "No play";
	byId("confirm").replaceChildren(play?.guess ? "Confirm the snap " : "Open the form ", make("kbd", {}, byId("confirm").querySelector("kbd")?.textContent ?? "Enter"));
	const asked = byId("asked");
	asked.replaceChildren(view.asked ?? "", ...(desk.typed ? [": ", make("span", { class: "typed" }, desk.typed)] : []));
	fill("offered", [view.offered, desk.pick, view.kind, desk.open, desk.ask], () => offered(desk, view));
	text(desk, view);
	const said = byId("said");
	said.textContent = view.broken ?? desk.said ?? "";
	said.classList.toggle("wrong", Boolean(desk.wrong || view.broken));
	byId("wants").textContent = view.wants ?? "";
	fill("reps", view.reps, () => (view.reps ?? []).map((row) => make("li", {}, row_(row))));
	fill("plays", view.plays, () => (view.plays ?? []).map((row) => make("li", {}, row_(row))));
	fill("todo", view.todo, () => (view.todo ?? []).map((todo) =>
		make("li", {}, make("button", { type: "button", "data-play": String(todo.play), "data-rep": todo.rep ?? "" },
			`Play ${todo.play}${todo.who ? `, ${todo.who}` : ""} `, make("small", {}, todo.what)))));
	byId("tab-todo").textContent = `Not marked ${view.todo?.length ?? 0}`;
	fill("counts", view.counts, () => (view.counts ?? []).map((line) => make("li", {}, line)));
	fill("fields", view.fields, () => (view.fields ?? []).flatMap(field));
	fill("faults", view.faults, () => (view.faults ?? []).map((fault) => make("li", {}, fault)));
	for (const [id, what] of /** @type {const} */ ([["undo", view.undo], ["redo", view.redo]])) {
		const button = /** @type {HTMLButtonElement} */ (byId(id));
		button.disabled = !what;
		button.title = what ?? "";
	}
	for (const list of ["reps", "plays"]) {
		byId(list).querySelector("[aria-current]")?.scrollIntoView({ block: "nearest" });
	}
}

/** @param {Row} row */
function row_(row) {
	const button = make("button", { type: "button", "data-play": String(row.play), "data-rep": row.rep ?? "" }, `${row.shown} `,
		make("small", {}, [row.more, row.begun && "begun", row.guess && "guessed snap"].filter(Boolean).join(", ")));
	if (row.here) {
		button.setAttribute("aria-current", "true");
	}
	return button;
}

/** @param {Shown} field */
function field(field) {
	const mark = field.mark && /^(marks|angles)\.|^(own )?(in|out)$/.test(field.field) ? field.field.replace(/^marks\./, "").replace(/^angles\..*\./, "") : "";
	const name = mark ? make("button", { type: "button", class: "mark", "data-to": mark, title: "Go there" }, field.name)
		: field.mark ? make("span", {}, field.name) : make("button", { type: "button", "data-field": field.field }, field.name);
	if (field.open) {
		name.setAttribute("aria-current", "true");
	}
	const value = make("dd", field.value ? {} : { class: "empty" }, field.value ?? "–");
	if (field.fault) {
		value.append(make("div", { class: "fault" }, field.fault));
	}
	return [make("dt", {}, name), value];
}

/** @param {Desk} desk @param {View} view */
function offered(desk, view) {
	const buttons = (view.offered ?? []).map((choice, i) => {
		const key = choice.key ?? "";
		const own = key && choice.shown.toLowerCase().startsWith(key);
		const button = make("button", { type: "button", "data-take": choice.value },
			...(own ? [make("b", {}, choice.shown.slice(0, key.length)), choice.shown.slice(key.length)] : [choice.shown, ...(key ? [" ", make("b", {}, key)] : [])]));
		if (i === (desk.pick ?? 0) && (desk.typed || desk.pick)) {
			button.setAttribute("aria-current", "true");
		}
		return button;
	});
	if (view.kind === "number" || view.kind === "clock") {
		buttons.push(...[..."0123456789"].map((digit) => make("button", { type: "button", "data-key": digit }, digit)),
			make("button", { type: "button", "data-key": "Backspace" }, "Back"));
	}
	if (view.asked) {
		buttons.push(make("button", { type: "button", "data-key": "Enter" }, "Go on ", make("kbd", {}, "Enter")));
		if (desk.open && view.kind !== "spot") {
			buttons.push(make("button", { type: "button", "data-key": "-" }, "Clear ", make("kbd", {}, "-")), make("button", { type: "button", "data-key": "=" }, "As the last time ", make("kbd", {}, "=")));
		}
		buttons.push(make("button", { type: "button", "data-key": "Escape" }, "To the film ", make("kbd", {}, "Esc")));
	}
	return buttons;
}

/** What the box for texts held at first. */
let begun = "";

/** What is done once the box for texts is left by Enter: nothing is written where nothing was changed. */
export function wrote() {
	const { value } = /** @type {HTMLTextAreaElement} */ (byId("text"));
	return value === begun ? { do: "key", key: "Enter" } : { do: "text", text: value };
}

/** The box for texts. @param {Desk} desk @param {View} view */
function text(desk, view) {
	const box = /** @type {HTMLTextAreaElement} */ (byId("text"));
	const open = view.kind === "text";
	if (open && (box.hidden || box.dataset.field !== desk.open)) {
		box.dataset.field = desk.open;
		box.value = view.text ?? "";
		begun = box.value;
		box.hidden = false;
		box.focus();
		box.select();
	} else if (!open) {
		box.hidden = true;
		delete box.dataset.field;
	}
}
