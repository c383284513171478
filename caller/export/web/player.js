"use strict";
// Plays the lesson: the sound is the clock, and the picture that stands at its time is shown.
(function () {
  const lesson = JSON.parse(byId("lesson-data").textContent);
  const picture = byId("picture");
  const audio = new Audio();
  const calmly = matchMedia("(prefers-reduced-motion: reduce)");
  const narrow = matchMedia("(max-width: 46rem)");
  const LATE_ENOUGH_S = 0.02; // a jump lands within a sound frame before or after the start of a call
  let captions = true;
  let started = false;
  let shown = []; // the groups that stand in the picture now
  let drawn = -1;
  let call = -1;
  let nodes = new Map(); // symbols already made into elements, for the loops that come round

  function byId(name) { return document.getElementById(name); }

  function sound() {
    const letters = atob(byId("lesson-sound").textContent);
    const bytes = new Uint8Array(letters.length);
    for (let n = 0; n < letters.length; n++) bytes[n] = letters.charCodeAt(n);
    byId("lesson-sound").textContent = "";
    return new Blob([bytes], { type: "audio/mpeg" });
  }

  function lastAt(starts, time) { // the last start that is not after `time`
    let low = 0, high = starts.length;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (starts[middle] <= time) low = middle; else high = middle;
    }
    return low;
  }

  function outline(path) { // arcs come packed: "p" and "o" are the two ways round
    return lesson.paths[path].replace(/([op])([\d.]+) /g, function (_, way, radius) {
      return "a" + radius + " " + radius + " 0 0 " + (way === "p" ? 1 : 0) + " ";
    });
  }

  function markup(symbol) {
    return lesson.symbols[symbol].map(function (piece) {
      const element = lesson.markup[piece[0]];
      return piece[1] < 0 ? element : element.replace("/>", ' d="' + outline(piece[1]) + '"/>');
    }).join("");
  }

  function node(group, slot) {
    const key = slot + ":" + group;
    if (!nodes.has(key)) {
      if (nodes.size > 600) nodes = new Map();
      const made = document.createElementNS("http://www.w3.org/2000/svg", "g");
      const [symbol, right, down, opacity] = lesson.groups[group];
      if (right || down) made.setAttribute("transform", "translate(" + right + " " + down + ")");
      if (opacity < 1) made.setAttribute("opacity", opacity);
      made.innerHTML = markup(symbol);
      nodes.set(key, made);
    }
    return nodes.get(key);
  }

  function draw(number) {
    if (number === drawn) return;
    drawn = number;
    const groups = lesson.pictures[number];
    groups.forEach(function (group, slot) {
      if (shown[slot] === group) return;
      const old = picture.children[slot];
      if (old) old.replaceWith(node(group, slot)); else picture.append(node(group, slot));
    });
    while (picture.children.length > groups.length) picture.lastChild.remove();
    shown = groups;
  }

  function show() {
    const time_ms = Math.min(audio.currentTime, lesson.end_s) * 1000;
    // A phone has its captions under the picture, and the start button stands where they would be.
    const inside = captions && !narrow.matches && (started || time_ms > 0);
    const track = lesson.tracks[(calmly.matches ? "calm" : "full") + (inside ? "" : "-plain")];
    draw(track.pictures[lastAt(track.starts_ms, time_ms)]);
    const said = lastAt(lesson.captions.starts_ms, time_ms), words = lesson.captions.words[said];
    const caption = byId("caption");
    if (caption.textContent !== words) {
      caption.textContent = words;
      caption.lang = lesson.captions.languages[said]; // a voice that reads it aloud speaks that language
    }
    const now = lastAt(lesson.calls.starts_ms, time_ms);
    if (now !== call) {
      call = now;
      picture.setAttribute("aria-label", lesson.calls.labels[call]);
      byId("place").textContent = lesson.calls.places[call];
    }
  }

  function tick() {
    show();
    requestAnimationFrame(tick);
  }

  function goTo(number) {
    const within = Math.max(0, Math.min(number, lesson.calls.starts_ms.length - 1));
    audio.currentTime = lesson.calls.starts_ms[within] / 1000;
    call = -1;
    show();
  }

  function here() { return lastAt(lesson.calls.starts_ms, audio.currentTime * 1000 + LATE_ENOUGH_S * 1000); }

  function play() {
    started = true;
    byId("start").hidden = true;
    const playing = audio.play();
    if (playing) playing.catch(stuck);
  }

  function stuck(error) {
    if (error && error.name === "AbortError") return; // paused before it had begun
    if (error && error.name === "NotAllowedError") { // this browser wants a press on this very page
      started = false;
      byId("start").hidden = false;
      return;
    }
    byId("stuck").hidden = false;
  }

  const actions = {
    pause: function () {
      if (!started) play();
      else if (audio.paused) { goTo(here()); play(); } // a call that was broken off is said again
      else audio.pause();
    },
    repeat: function () { goTo(lesson.calls.repeats[here()]); if (started) play(); },
    back: function () { goTo(here() - 1); },
    next: function () { goTo(here() + 1); },
    captions: function () {
      captions = !captions;
      byId("captions").setAttribute("aria-pressed", String(captions));
      byId("caption").classList.toggle("off", !captions);
    },
    full: function () {
      const page = byId("lesson");
      if (document.fullscreenElement) document.exitFullscreen();
      else if (page.requestFullscreen) page.requestFullscreen();
    },
    quiet: function () { if (!audio.paused) audio.pause(); }
  };

  // What the hall's keys do, and two of the page's own.
  const keys = Object.assign({}, lesson.keys, { c: "captions", Escape: "quiet" });

  document.addEventListener("keydown", function (event) {
    if (event.ctrlKey || event.altKey || event.metaKey || event.repeat) return;
    const pressed = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    const onButton = event.target instanceof HTMLButtonElement;
    if (onButton && (pressed === " " || pressed === "Enter")) return; // the button does its own work
    const action = keys[pressed];
    if (!action) return;
    event.preventDefault();
    actions[action]();
  });

  ["pause", "repeat", "back", "next", "captions", "full"].forEach(function (name) {
    byId(name).addEventListener("click", actions[name]);
  });
  byId("start").addEventListener("click", function () { play(); byId("pause").focus(); });
  function label() { byId("pause").textContent = started && audio.paused ? lesson.words["go-on"] : lesson.words.pause; }
  audio.addEventListener("play", label);
  audio.addEventListener("pause", label);
  audio.addEventListener("error", stuck);
  audio.preload = "auto";
  audio.src = URL.createObjectURL(sound());
  if (location.hash === "#play") play(); // the button was on the page before this one
  window.lessonPlayer = { audio: audio, picture: picture }; // for tests, and for a look under the bonnet
  tick();
})();
