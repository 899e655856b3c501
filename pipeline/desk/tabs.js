// @ts-check

/** Has the tabs of the page show their panels, by mouse and by arrow keys. */
export function tabs() {
	const all = /** @type {HTMLElement[]} */ ([...document.querySelectorAll('[role="tab"]')]);
	const show = (/** @type {HTMLElement} */ chosen) => {
		for (const each of all) {
			const on = each === chosen;
			each.setAttribute("aria-selected", String(on));
			each.tabIndex = on ? 0 : -1;
			const panel = document.getElementById(each.getAttribute("aria-controls") ?? "");
			if (panel) {
				panel.hidden = !on;
			}
		}
	};
	show(all.find((tab) => tab.getAttribute("aria-selected") === "true") ?? all[0]); // one Tab reaches them all
	for (const tab of all) {
		tab.addEventListener("click", () => show(tab));
		tab.addEventListener("keydown", (event) => {
			const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
			if (step) {
				const next = all[(all.indexOf(tab) + step + all.length) % all.length];
				show(next);
				next.focus();
			}
		});
	}
}
