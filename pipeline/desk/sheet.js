// @ts-check
import { byId, make } from "./form.js";

/**
 * What the server says of a play sheet: sheetRead of Go.
 * @typedef {{heading: string, is: string, value: string, how: string, cells: number, refused: number, suchAs: string}} Column
 * @typedef {{file: string, rows: number, columns: Column[]|null, words: string[]|null, faults: string[]|null, unfilled: string[]|null, fields: string[], keep?: string}} Sheet
 * @typedef {Record<string, string>} Told what columns are, by their headings
 */

/**
 * What was made of the sheet. A column that has a heading is a button that offers what it may be.
 * @param {Sheet} s
 * @param {Told} told
 * @returns {HTMLElement[]}
 */
export function sheet(s, told) {
	const cells = (/** @type {string} */ tag, /** @type {(Node|string|number)[]} */ of) =>
		make("tr", {}, ...of.map((of) => make(tag, {}, of instanceof Node ? of : String(of))));
	const list = (/** @type {string[]|null} */ of, /** @type {Record<string, string>} */ as = {}) => make("ul", as, ...(of ?? []).map((text) => make("li", {}, text)));
	const keep = make("button", { type: "button", id: "keep" }, s.keep ? `Keep in ${s.keep}` : "Keep");
	const taken = make("button", { type: "button", id: "as-read" }, "All as they read");
	return [
		make("p", {}, `${s.file}: ${s.rows} rows. Press what a column is to say that it is something else.`),
		make("table", {}, make("thead", {}, cells("th", ["column", "is", "how", "cells", "refused", "such as"])),
			make("tbody", {}, ...(s.columns ?? []).map((c) => cells("td", [c.heading, c.heading ? is(c) : c.is, c.how, c.cells, c.refused || "", c.suchAs])))),
		...(Object.keys(told).length > 0 ? [make("p", {}, keep, " ", taken)] : []),
		...(s.unfilled?.length ? [make("p", {}, `Filled by no column: ${s.unfilled.join(", ")}`)] : []),
		list(s.words),
		list(s.faults, { class: "fault" }),
	];
}

/** @param {Column} c */
function is(c) {
	return make("button", { type: "button", "data-column": c.heading, "data-value": c.value, "aria-label": `${c.heading} is ${c.is}: say otherwise` }, c.is);
}

/**
 * What is told then, where a column is said to be a field: a column that was it until now is
 * kept as it is, since no two are one.
 * @param {Sheet} s
 * @param {Told} told
 * @param {string} heading
 * @param {string} field
 * @returns {Told}
 */
export function tell(s, told, heading, field) {
	const next = { ...told, [heading]: field };
	for (const other of s.columns ?? []) {
		if (other.heading && other.heading !== heading && other.value === field && field !== "skip" && field !== "extra") {
			next[other.heading] = "extra";
		}
	}
	return next;
}

/**
 * Offers, in the place of a column's button, what it may be: by arrows, letters and Enter, or by
 * a click. Esc leaves it.
 * @param {HTMLElement} button
 * @param {Sheet} s
 * @param {(heading: string, field: string) => void} taken
 */
export function offer(button, s, taken) {
	const { column = "", value = "" } = button.dataset;
	const fields = s.fields.includes(value) ? s.fields : [value, ...s.fields];
	const list = /** @type {HTMLSelectElement} */ (make("select", { size: "10", "aria-label": `${column} is` },
		...fields.map((field) => make("option", { value: field }, field === "skip" ? "skip: left out" : field === "extra" ? "extra: kept as it is" : field))));
	list.value = value;
	let open = true;
	const leave = (/** @type {boolean} */ focus) => {
		if (!open) {
			return; // a list that goes loses the focus
		}
		open = false;
		list.replaceWith(button);
		if (focus) {
			button.focus();
		}
	};
	const take = () => {
		const field = list.value;
		leave(true);
		if (field && field !== value) {
			taken(column, field);
		}
	};
	list.addEventListener("keydown", (event) => {
		if (event.key === "Enter" || event.key === "Escape") {
			event.preventDefault();
			event.stopPropagation();
			event.key === "Enter" ? take() : leave(true);
		}
	});
	list.addEventListener("click", (event) => event.target instanceof HTMLOptionElement && take());
	list.addEventListener("blur", () => leave(false));
	button.replaceWith(list);
	list.focus();
	byId("panel-sheet").querySelector("option:checked")?.scrollIntoView({ block: "nearest" });
}
