
"use strict";
(() => {
  const film = document.getElementById("film");
  const now = document.getElementById("now");
  const count = document.getElementById("count");
  const form = document.getElementById("filter");
  const takes = [...document.querySelectorAll("[data-take]")];
  const clips = [...document.querySelectorAll("[data-clip]")];
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const shown = (clip) => !clip.closest("li").hidden;
  let current = null;

  const at = (seconds) => clips.find((c) => seconds >= c.dataset.in - 0.002 && seconds < c.dataset.out - 0.002) || null;

  const show = (clip) => {
    if (clip === current) return;
    if (current) {
      current.removeAttribute("aria-current");
      current.closest("li").classList.remove("now");
    }
    current = clip;
    now.textContent = clip ? "Clip " + clip.dataset.clip + " of " + clips.length : "";
    if (clip) {
      clip.setAttribute("aria-current", "true");
      clip.closest("li").classList.add("now");
    }
  };

  // Who asked for less motion gets the picture, and starts it himself.
  const jump = (clip, play) => {
    film.currentTime = Number(clip.dataset.seek);
    show(clip);
    if (play && !still.matches) film.play().catch(() => {});
  };

  const step = (by) => {
    const seen = clips.filter(shown);
    const t = film.currentTime;
    const next = by > 0 ? seen.find((c) => c.dataset.in > t) : seen.filter((c) => c.dataset.out <= t).pop();
    if (next) jump(next, !film.paused);
  };

  for (const clip of clips) clip.addEventListener("click", () => jump(clip, true));
  document.getElementById("before").addEventListener("click", () => step(-1));
  document.getElementById("after").addEventListener("click", () => step(1));

  film.addEventListener("seeked", () => show(at(film.currentTime)));
  film.addEventListener("timeupdate", () => {
    const clip = at(film.currentTime);
    // A filtered list plays only what it shows.
    if (clip && !shown(clip) && !film.paused && !film.seeking) {
      const next = clips.find((c) => shown(c) && c.dataset.in > film.currentTime);
      if (next) return jump(next, true);
      film.pause();
    }
    show(clip);
  });
  film.addEventListener("error", () => { document.getElementById("missing").hidden = false; });
  if (film.error) document.getElementById("missing").hidden = false;

  const filter = () => {
    const want = [...form.querySelectorAll("select")].filter((s) => s.value !== "");
    for (const take of takes) {
      const reps = [...take.querySelectorAll(".rep")];
      take.hidden = want.length > 0 && !reps.some((r) => want.every((s) => r.dataset[s.dataset.key].split(" ").includes(s.value)));
    }
    for (const part of document.querySelectorAll(".part")) {
      part.hidden = !part.querySelector("[data-take]:not([hidden])");
    }
    const n = clips.filter(shown).length;
    count.textContent = n === clips.length ? n + (n === 1 ? " clip" : " clips") : n + " of " + clips.length + " clips";
  };
  if (form) {
    form.addEventListener("change", filter);
    form.addEventListener("reset", () => setTimeout(filter));
    form.addEventListener("submit", (e) => e.preventDefault());
  }
})();
