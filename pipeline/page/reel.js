
"use strict";
(() => {
  const $ = (id) => document.getElementById(id);
  const film = $("film"), other = $("other"), stage = $("stage"), pen = $("pen");
  const form = $("filter"), count = $("count"), note = $("note");
  const takes = [...document.querySelectorAll("[data-take]")];
  const rate = Number(film.dataset.rate);
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const clips = takes.flatMap((li) => JSON.parse(li.dataset.clips).map((c) => ({...c, li}))).sort((a, b) => a.n - b.n);
  let current = null, loop = false, both = false, drawing = false;
  // A window for the wall shows the film alone, as the page that opened it does.
  const leader = location.hash === "#wall" ? window.opener : null;
  let wall = null;

  // Only what the list shows is played, on the angle that was chosen; with both angles on the
  // screen the second is not shown again.
  const onAngle = (c) => {
    const mates = clips.filter((m) => m.li === c.li);
    if (both && mates.length > 1) return c === mates[0];
    const want = $("angles").value;
    return !want || c.angle === want || !mates.some((m) => m.angle === want);
  };
  const shown = (c) => !c.li.closest("[hidden]") && onAngle(c);
  const at = (t) => clips.find((c) => t >= c.in - 0.002 && t < c.out - 0.002) || null;
  const mate = (c) => {
    const mates = c ? clips.filter((m) => m.li === c.li) : [];
    return mates.length > 1 ? mates[(mates.indexOf(c) + 1) % mates.length] : null;
  };
  // The same moment of the play on another angle.
  const same = (c, to) => Math.min(Math.max(to.snap + film.currentTime - c.snap, to.in + 0.5 / rate), to.out - 0.5 / rate);

  const press = (id, on) => $(id).setAttribute("aria-pressed", String(on));

  const show = (clip) => {
    if (clip === current) return;
    if (current) {
      current.li.querySelector(".go").removeAttribute("aria-current");
      current.li.classList.remove("now");
    }
    current = clip;
    $("now").textContent = clip ? "Clip " + clip.n + " of " + clips.length + ", " + clip.angle : "";
    const next = mate(clip);
    $("angle").disabled = !next;
    $("angle-name").textContent = clip ? clip.angle : "";
    if (note) {
      note.disabled = !clip || !!leader;
      note.value = clip && !leader ? kept(clip) : "";
    }
    if (!clip) return;
    clip.li.querySelector(".go").setAttribute("aria-current", "true");
    clip.li.classList.add("now");
    const list = $("list");
    if (list.scrollHeight > list.clientHeight + 1 && getComputedStyle(list).overflowY === "auto") {
      const row = clip.li.getBoundingClientRect(), box = list.getBoundingClientRect();
      if (row.top < box.top || row.bottom > box.bottom) list.scrollTop += row.top - box.top - 8;
    }
    inStep();
  };

  // Who asked for less motion gets the picture, and starts it himself.
  const jump = (clip, play) => {
    film.currentTime = clip.seek;
    show(clip);
    if (play && !still.matches) film.play().catch(() => {});
  };
  const step = (by) => {
    const seen = clips.filter(shown), t = film.currentTime;
    const next = by > 0 ? seen.find((c) => c.in > t) : seen.filter((c) => c.out <= t).pop();
    if (next) jump(next, !film.paused);
  };
  const frame = (by) => {
    film.pause();
    film.currentTime = (Math.floor(film.currentTime * rate + 1e-3) + by + 0.5) / rate;
  };
  const toggle = () => { if (film.paused) film.play().catch(() => {}); else film.pause(); };
  const speed = (to) => {
    film.playbackRate = film.playbackRate === to ? 1 : to;
    film.muted = film.playbackRate < 1; // slowed sound is a groan
  };
  const turn = () => {
    const to = mate(current);
    if (!to) return;
    const t = same(current, to);
    if ($("angles").value) $("angles").value = to.angle;
    show(to);
    film.currentTime = t;
  };

  // The second angle follows the first.
  const inStep = () => {
    const to = both ? mate(current) : null;
    stage.classList.toggle("both", !!to);
    other.hidden = !to;
    if (!to) {
      other.pause();
      return;
    }
    if (!other.getAttribute("src")) other.src = film.getAttribute("src");
    const want = same(current, to);
    if (Math.abs(other.currentTime - want) > (film.paused ? 0.5 / rate : 0.1)) other.currentTime = want;
    other.playbackRate = film.playbackRate;
    if (film.paused) other.pause(); else other.play().catch(() => {});
  };

  const look = () => {
    const t = film.currentTime, clip = at(t);
    if (!film.paused && !film.seeking) {
      if (loop && current && t >= current.out - 1.5 / rate && t < current.out + 1) return jump(current, true);
      if (clip && !shown(clip)) {
        const next = clips.find((c) => shown(c) && c.in > t);
        if (next) return jump(next, true);
        film.pause();
      }
    }
    show(clip);
  };
  const watch = () => { if (leader) show(at(film.currentTime)); else look(); film.requestVideoFrameCallback(watch); };
  if (film.requestVideoFrameCallback) film.requestVideoFrameCallback(watch);

  // Drawings are for the moment: they go when the film does.
  const ink = pen.getContext("2d");
  let lines = []; // in shares of the picture
  const wipe = () => {
    lines = [];
    ink.clearRect(0, 0, pen.width, pen.height);
    tell();
  };
  const draw = (on) => {
    drawing = on;
    press("draw", on);
    pen.hidden = !on;
    $("wipe").hidden = !on;
    if (!on) return wipe();
    film.pause();
    pen.width = stage.clientWidth;
    pen.height = stage.clientHeight;
  };
  let last = null;
  // Where the picture lies in its element, which may be higher or wider.
  const picture = () => {
    const box = film.getBoundingClientRect(), from = pen.getBoundingClientRect();
    const fits = Math.min(box.width / (film.videoWidth || box.width), box.height / (film.videoHeight || box.height));
    const w = (film.videoWidth || box.width) * fits, h = (film.videoHeight || box.height) * fits;
    return {x: box.left - from.left + (box.width - w) / 2, y: box.top - from.top + (box.height - h) / 2, w, h};
  };
  const point = (e) => {
    const box = pen.getBoundingClientRect(), p = picture();
    return [(e.clientX - box.left - p.x) / p.w, (e.clientY - box.top - p.y) / p.h];
  };
  const stroke = (from, to) => {
    const p = picture(), at = ([x, y]) => [p.x + x * p.w, p.y + y * p.h];
    ink.lineCap = "round";
    for (const [width, colour] of [[9, "#0f1317"], [5, "#ffd24d"]]) {
      ink.lineWidth = width;
      ink.strokeStyle = colour;
      ink.beginPath();
      ink.moveTo(...at(from));
      ink.lineTo(...at(to));
      ink.stroke();
    }
  };
  pen.addEventListener("pointerdown", (e) => {
    last = point(e);
    pen.setPointerCapture(e.pointerId);
  });
  pen.addEventListener("pointermove", (e) => {
    if (!last) return;
    const to = point(e);
    stroke(last, to);
    lines.push([last, to]);
    last = to;
    tell();
  });
  pen.addEventListener("pointerup", () => { last = null; });

  // Notes stay in this browser.
  const place = (clip) => "notes:" + location.pathname + ":" + clip.n;
  const kept = (clip) => { try { return localStorage.getItem(place(clip)) || ""; } catch { return ""; } };
  if (note) note.addEventListener("input", () => {
    if (current) try { localStorage.setItem(place(current), note.value); } catch { /* it is not kept */ }
  });

  const full = () => {
    if (document.fullscreenElement) document.exitFullscreen();
    else if (stage.requestFullscreen) stage.requestFullscreen().catch(() => {});
    else if (film.webkitEnterFullscreen) film.webkitEnterFullscreen();
  };
  document.addEventListener("fullscreenchange", () => { if (drawing) draw(false); });

  // What the wall shows: nothing of notes and list, which are not told to it.
  const tell = () => {
    if (wall && !wall.closed) wall.postMessage({at: film.currentTime, paused: film.paused, speed: film.playbackRate, both, lines: drawing ? lines : null}, "*");
  };
  const second = () => {
    if (wall && !wall.closed) return wall.focus();
    wall = window.open(location.href.split("#")[0] + "#wall", "", "popup,width=1280,height=720");
  };
  const follow = (m) => {
    if (Math.abs(film.currentTime - m.at) > (m.paused ? 0.5 / rate : 0.15)) film.currentTime = m.at;
    film.playbackRate = m.speed;
    film.muted = true; // it sounds where the coach is
    if (m.paused) film.pause(); else film.play().catch(() => {});
    both = m.both;
    inStep();
    if (drawing !== !!m.lines) draw(!!m.lines);
    else if (m.lines) ink.clearRect(0, 0, pen.width, pen.height);
    for (const line of m.lines || []) stroke(...line);
  };
  window.addEventListener("message", (e) => {
    if (leader && e.source === leader) follow(e.data);
    else if (wall && e.source === wall) {
      if (acts[e.data]) acts[e.data]();
      tell();
    }
  });

  const acts = {
    before: () => step(-1), after: () => step(1), play: toggle, back: () => frame(-1), on: () => frame(1),
    half: () => speed(0.5), quarter: () => speed(0.25), angle: turn, full, second,
    loop: () => press("loop", loop = !loop),
    both: () => { press("both", both = !both); inStep(); tell(); },
    draw: () => draw(!drawing), wipe,
  };
  for (const id of Object.keys(acts)) $(id).addEventListener("click", acts[id]);
  // Clickers send the page keys, and F5, Escape or a full stop, for which there is nothing to do here.
  const keys = {
    PageDown: "after", PageUp: "before", n: "after", p: "before", " ": "play", k: "play", ".": "on", ",": "back",
    ArrowRight: "on", ArrowLeft: "back", 2: "half", 4: "quarter", l: "loop", a: "angle", b: "both", f: "full", d: "draw", w: "wipe", s: "second",
  };
  document.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.altKey || e.metaKey || e.target.closest("input, select, textarea")) return;
    if (e.key === " " && e.target.closest("button, summary, a, video")) return;
    if (e.key.startsWith("Arrow") && e.target === film) return;
    if (e.key === "Escape" && drawing) return draw(false);
    if (!keys[e.key]) return;
    e.preventDefault();
    // The clicker may be at the wall.
    if (leader && keys[e.key] !== "full") return leader.postMessage(keys[e.key], "*");
    acts[keys[e.key]]();
  });

  // A finger: a tap plays, and then slows; a swipe is the next clip or the one before.
  if (matchMedia("(pointer: coarse)").matches) film.controls = false;
  let down = null;
  film.addEventListener("pointerdown", (e) => { down = e.pointerType === "touch" ? [e.clientX, e.clientY] : null; });
  film.addEventListener("pointerup", (e) => {
    if (!down) return;
    const x = e.clientX - down[0], y = e.clientY - down[1];
    down = null;
    if (Math.abs(x) > 50 && Math.abs(x) > 2 * Math.abs(y)) return step(x < 0 ? 1 : -1);
    if (Math.abs(x) > 10 || Math.abs(y) > 10 || film.controls) return;
    if (film.paused) toggle(); else speed(0.25);
  });
  film.addEventListener("pointercancel", () => { down = null; });

  for (const li of takes) {
    li.querySelector(".go").addEventListener("click", () => jump(clips.find((c) => c.li === li && onAngle(c)), true));
  }
  for (const again of document.querySelectorAll("[data-seek]")) {
    again.addEventListener("click", () => jump({...at(Number(again.dataset.seek)), seek: Number(again.dataset.seek)}, true));
  }

  film.addEventListener("seeked", () => { show(at(film.currentTime)); inStep(); tell(); });
  film.addEventListener("timeupdate", () => { if (!leader) look(); inStep(); tell(); });
  for (const event of ["play", "pause"]) {
    film.addEventListener(event, () => {
      if (!film.paused && drawing) draw(false);
      $("play").textContent = film.paused ? "Play" : "Pause";
      inStep();
      tell();
    });
  }
  film.addEventListener("ratechange", () => {
    press("half", film.playbackRate === 0.5);
    press("quarter", film.playbackRate === 0.25);
    inStep();
    tell();
  });
  film.addEventListener("ended", () => {
    const next = document.querySelector("#next");
    if (next) next.scrollIntoView({block: "nearest"});
  });
  film.addEventListener("error", () => { $("missing").hidden = false; });
  if (film.error) $("missing").hidden = false;

  const filter = () => {
    const want = [...form.querySelectorAll("select[data-key]")].filter((s) => s.value !== "");
    for (const take of takes) {
      if (take.parentElement.closest("[data-take]")) continue; // it goes with its rep
      const reps = [...take.querySelectorAll(":scope > .go .rep")];
      take.hidden = want.length > 0 && !reps.some((r) => want.every((s) => r.dataset[s.dataset.key].split(" ").includes(s.value)));
    }
    for (const part of document.querySelectorAll(".part")) {
      part.hidden = !part.querySelector("[data-take]:not([hidden])");
    }
    const n = clips.filter(shown).length;
    count.textContent = n === clips.length ? n + (n === 1 ? " clip" : " clips") : n + " of " + clips.length + " clips";
  };
  form.addEventListener("change", filter);
  form.addEventListener("reset", () => setTimeout(filter));
  form.addEventListener("submit", (e) => e.preventDefault());
  $("angle").disabled = true;
  if (leader) {
    document.documentElement.classList.add("wall");
    film.controls = false;
    leader.postMessage("ready", "*");
  }
})();
