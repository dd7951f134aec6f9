// The turning view of a piece: pointer, fingers and keys turn it; a form chooses the layer and moves the cut.
(() => {
  "use strict";

  const { read, Scene } = window.pieceShape;
  const root = document.querySelector("[data-shape]");
  if (!root) return;

  const facts = JSON.parse(document.getElementById("shape-facts").textContent);
  const part = (name) => root.querySelector(`[data-part="${name}"]`);
  const [canvas, marks, form, said, under, cutLink, pullLink] = ["canvas", "marks", "form", "said", "under", "cut-link", "pull-link"].map(part);
  const LAYERS = ["plain", "depth", "slope", "fill", "piece"];
  const SIDES = ["right", "back right", "back", "back left", "left", "front left", "front", "front right"];
  const START = { azimuth: 300, lift: 24, zoom: 1, shift: [0, 0] };
  const STILL = { passive: false };

  let eye = { ...START };
  let scene = null;
  let mesh = null;
  let look = {};
  let waiting = false;

  const radians = (degrees) => (degrees * Math.PI) / 180;
  const shownLayer = () => form.elements.layer.value;
  const dots = () => window.devicePixelRatio || 1;

  const refuse = (words) => {
    root.dataset.state = "refused";
    part("trouble").textContent = words;
    part("trouble").hidden = false;
    part("plate").hidden = true;
    part("wait").hidden = true;
    form.hidden = true;
  };

  // Colours of the page, whatever it is: "#1f282e" or "rgb(31 40 46)" becomes three shares.
  const colour = (name) => {
    const probe = document.createElement("canvas").getContext("2d");
    probe.fillStyle = getComputedStyle(root).getPropertyValue(name).trim() || "#808080";
    probe.fillRect(0, 0, 1, 1);
    return [...probe.getImageData(0, 0, 1, 1).data].slice(0, 3).map((byte) => byte / 255);
  };

  const dress = () => {
    const shares = (list) => new Float32Array(list.flat().map((byte) => byte / 255));
    const ramp = facts.ramps[shownLayer()] || facts.ramps.depth;
    look = {
      ramp: shares(ramp),
      pieces: shares([...facts.colours, facts.noPiece, facts.noPiece]),
      plain: colour("--shape-plain"),
      cut: colour("--shape-cut"),
      hatch: colour("--shape-hatch"),
      outline: [31 / 255, 40 / 255, 46 / 255],
      ink: colour("--ink"),
      rim: colour("--paper-raised"),
    };
  };

  const turn = () => {
    const [a, l] = [radians(eye.azimuth), radians(eye.lift)];
    const right = [-Math.sin(a), Math.cos(a), 0];
    const ahead = [Math.cos(l) * Math.cos(a), Math.cos(l) * Math.sin(a), Math.sin(l)];
    const up = [-Math.sin(l) * Math.cos(a), -Math.sin(l) * Math.sin(a), Math.cos(l)];
    return { right, up, ahead };
  };

  const sight = () => {
    const { right, up, ahead } = turn();
    const room = shownLayer() === "piece" && facts.pulls.length ? 0.74 : 0.94;
    const fit = (room * Math.min(canvas.width, canvas.height)) / (2 * mesh.radius);
    return {
      turn: [right[0], up[0], ahead[0], right[1], up[1], ahead[1], right[2], up[2], ahead[2]],
      scale: fit * eye.zoom,
      shift: eye.shift.map((value) => value * dots()),
    };
  };

  // All points beyond the plane are cut away: an upright or a leaning one is told by where it faces and how far it stands
  // from the middle of the piece, a level one by its height.
  const plane = () => {
    const kind = form.elements.cut.value;
    if (kind === "upright" || kind === "leaning") {
      const [a, l] = [radians(Number(form.elements.azimuth.value)), kind === "leaning" ? radians(Number(form.elements.lift.value)) : 0];
      return [Math.cos(l) * Math.cos(a), Math.cos(l) * Math.sin(a), Math.sin(l), Number(form.elements.offset.value) + Math.sin(l) * mesh.middle[2]];
    }
    return kind === "level" ? [0, 0, 1, Number(form.elements.height.value)] : [0, 0, 0, 1];
  };

  const across = (vector, { right, up }) => {
    const dot = (one, other) => one[0] * other[0] + one[1] * other[1] + one[2] * other[2];
    return [dot(vector, right), -dot(vector, up)];
  };

  const arrow = (pen, from, to, ahead) => {
    const head = 13;
    const neck = [to[0] - ahead[0] * head, to[1] - ahead[1] * head];
    for (const [width, style, wide] of [[6, "--rim", 7.5], [2.6, "--ink", 5.5]]) {
      pen.strokeStyle = pen.fillStyle = pen.tones[style];
      pen.lineWidth = width;
      pen.beginPath();
      pen.moveTo(...from);
      pen.lineTo(...neck);
      pen.stroke();
      pen.beginPath();
      pen.moveTo(to[0] + ahead[0] * (wide - 5.5), to[1] + ahead[1] * (wide - 5.5));
      pen.lineTo(neck[0] - ahead[1] * wide, neck[1] + ahead[0] * wide);
      pen.lineTo(neck[0] + ahead[1] * wide, neck[1] - ahead[0] * wide);
      pen.fill();
    }
  };

  // Towards the eye a ring with a dot, away from it a ring with a cross.
  const ring = (pen, at, towards) => {
    pen.fillStyle = pen.tones["--rim"];
    pen.strokeStyle = pen.tones["--ink"];
    pen.lineWidth = 2;
    pen.beginPath();
    pen.arc(...at, 9, 0, 2 * Math.PI);
    pen.fill();
    pen.stroke();
    pen.beginPath();
    if (towards) {
      pen.arc(...at, 2.6, 0, 2 * Math.PI);
      pen.fillStyle = pen.tones["--ink"];
      pen.fill();
    } else {
      for (const [x, y] of [[-6, -6], [-6, 6]]) {
        pen.moveTo(at[0] + x, at[1] + y);
        pen.lineTo(at[0] - x, at[1] - y);
      }
      pen.stroke();
    }
  };

  const disc = (pen, at, pull) => {
    const [red, green, blue] = pull.colour;
    pen.fillStyle = `rgb(${red} ${green} ${blue})`;
    pen.strokeStyle = pen.tones["--ink"];
    pen.lineWidth = 1.4;
    pen.beginPath();
    pen.arc(...at, 12, 0, 2 * Math.PI);
    pen.fill();
    pen.stroke();
    pen.fillStyle = 0.2126 * red + 0.7152 * green + 0.0722 * blue > 130 ? "#1f282e" : "#fbfaf6";
    pen.fillText(String(pull.number), at[0], at[1] + 1);
  };

  const drawPulls = (view) => {
    const pen = marks.getContext("2d");
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.clearRect(0, 0, marks.width, marks.height);
    if (shownLayer() !== "piece") return;
    pen.setTransform(dots(), 0, 0, dots(), 0, 0);
    const tone = (share) => `rgb(${share.map((part) => Math.round(255 * part)).join(" ")})`;
    pen.tones = { "--rim": tone(look.rim), "--ink": tone(look.ink) };
    pen.font = "600 14px 'Source Sans 3', sans-serif";
    pen.textAlign = "center";
    pen.textBaseline = "middle";
    const frame = turn();
    const middle = [marks.width / dots() / 2 + eye.shift[0], marks.height / dots() / 2 + eye.shift[1]];
    const scale = view.scale / dots();
    const outline = mesh.sample.map((point) => across(point.map((value, axis) => value - mesh.middle[axis]), frame));
    for (const pull of facts.pulls) {
      const flat = across(pull.way, frame);
      const length = Math.hypot(...flat);
      const ahead = length > 1e-6 ? flat.map((value) => value / length) : [0, 1];
      const reach = Math.max(...outline.map((place) => place[0] * ahead[0] + place[1] * ahead[1])) * scale + 10;
      const along = (far) => [middle[0] + ahead[0] * far, middle[1] + ahead[1] * far];
      let tip = reach + 14;
      if (length < 0.25) ring(pen, along(tip), pull.way.reduce((sum, value, axis) => sum + value * frame.ahead[axis], 0) > 0);
      else {
        tip = reach + 26 + 26 * length;
        arrow(pen, along(reach), along(tip), ahead);
      }
      const limit = (value, size) => Math.min(Math.max(value, 15), size / dots() - 15);
      const [x, y] = along(tip + 20);
      disc(pen, [limit(x, marks.width), limit(y, marks.height)], pull);
    }
  };

  const draw = () => {
    waiting = false;
    if (!scene || scene.gl.isContextLost()) return;
    const view = sight();
    scene.draw({ sight: view, shown: LAYERS.indexOf(shownLayer()), plane: plane(), look });
    drawPulls(view);
    root.dataset.drawn = String(Number(root.dataset.drawn || 0) + 1);
  };

  const redraw = () => {
    if (!waiting) {
      waiting = true;
      requestAnimationFrame(draw);
    }
  };

  const length = (mm) => `${(mm / facts.length.mm).toFixed(facts.length.places).replace(".", facts.length.point)}\u00a0${facts.length.unit}`;

  const say = () => {
    const [lift, around] = [Math.round(eye.lift), ((Math.round(eye.azimuth) % 360) + 360) % 360];
    const height = Math.abs(lift) < 3 ? "" : `, ${Math.abs(lift)}° ${lift > 0 ? "up" : "down"}`;
    said.textContent = Math.abs(lift) > 85 ? `Seen from ${lift > 0 ? "above" : "below"}.` : `Seen from the ${SIDES[Math.round(around / 45) % 8]}${height}.`;
    if (pullLink) pullLink.href = `${pullLink.pathname}?${new URLSearchParams({ around, lift })}#fix-heading`;
  };

  const move = (change) => {
    eye = { ...eye, ...change };
    eye.lift = Math.max(-90, Math.min(90, eye.lift));
    eye.zoom = Math.max(0.4, Math.min(12, eye.zoom));
    under.textContent = "";
    redraw();
  };

  const zoomAt = (factor, place) => {
    const zoom = Math.max(0.4, Math.min(12, eye.zoom * factor));
    const by = zoom / eye.zoom;
    move({ zoom, shift: place ? eye.shift.map((value, axis) => place[axis] + (value - place[axis]) * by) : eye.shift.map((v) => v * by) });
  };

  const fromMiddle = (event) => {
    const box = canvas.getBoundingClientRect();
    return [event.clientX - box.left - box.width / 2, event.clientY - box.top - box.height / 2];
  };

  const readUnder = (event) => {
    const box = canvas.getBoundingClientRect();
    const found = scene.under(((event.clientX - box.left) / box.width) * canvas.width, ((event.clientY - box.top) / box.height) * canvas.height);
    const layer = shownLayer();
    if (!found || layer === "plain") under.textContent = "";
    else if (layer === "piece") under.textContent = found.piece ? `Under the pointer: shell piece ${found.piece}` : "Under the pointer: no shell piece";
    else {
      const [low, high] = mesh.ranges[layer];
      const value = low + found[layer] * (high - low);
      under.textContent = `Under the pointer: ${layer} ${layer === "slope" ? `${Math.round(value)}°` : length(value)}`;
    }
  };

  const holdPointers = () => {
    const held = new Map();
    const spread = () => {
      const [one, other] = [...held.values()];
      return { far: Math.hypot(one[0] - other[0], one[1] - other[1]), middle: [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2] };
    };
    canvas.addEventListener("pointerdown", (event) => {
      if (event.pointerType === "mouse" && event.button > 1) return;
      canvas.setPointerCapture(event.pointerId);
      held.set(event.pointerId, fromMiddle(event));
    });
    canvas.addEventListener("pointermove", (event) => {
      const before = held.get(event.pointerId);
      if (!before) {
        readUnder(event);
        return;
      }
      const now = fromMiddle(event);
      const by = [now[0] - before[0], now[1] - before[1]];
      if (held.size === 2) {
        const old = spread();
        held.set(event.pointerId, now);
        const fresh = spread();
        move({ shift: eye.shift.map((value, axis) => value + fresh.middle[axis] - old.middle[axis]) });
        zoomAt(fresh.far / Math.max(old.far, 1), fresh.middle);
        return;
      }
      held.set(event.pointerId, now);
      if (event.shiftKey || event.buttons === 4) move({ shift: [eye.shift[0] + by[0], eye.shift[1] + by[1]] });
      else move({ azimuth: eye.azimuth - by[0] * 0.5, lift: eye.lift + by[1] * 0.5 });
    });
    const release = (event) => {
      held.delete(event.pointerId);
      if (canvas.hasPointerCapture(event.pointerId)) canvas.releasePointerCapture(event.pointerId);
      if (event.type === "pointerup" && held.size === 0) {
        say();
        readUnder(event);
      }
    };
    for (const name of ["pointerup", "pointercancel", "lostpointercapture"]) canvas.addEventListener(name, release);
    canvas.addEventListener("pointerleave", () => { under.textContent = ""; });
    // The page keeps its wheel until somebody works in the view, or asks for a zoom with Ctrl.
    canvas.addEventListener("wheel", (event) => {
      if (!event.ctrlKey && document.activeElement !== canvas) return;
      event.preventDefault();
      zoomAt(Math.exp(-event.deltaY * (event.deltaMode === 1 ? 0.05 : 0.0015)), fromMiddle(event));
    }, STILL);
  };

  const steps = {
    ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1],
  };

  const press = (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const way = steps[event.key];
    if (way && event.shiftKey) move({ shift: [eye.shift[0] + 20 * way[0], eye.shift[1] + 20 * way[1]] });
    else if (way) move({ azimuth: eye.azimuth - 10 * way[0], lift: eye.lift + 10 * way[1] });
    else if (event.key === "+" || event.key === "=") zoomAt(1.25);
    else if (event.key === "-") zoomAt(0.8);
    else if (event.key === "0") move({ ...START, shift: [0, 0] });
    else return;
    event.preventDefault();
    say();
  };

  const fitOffset = (sides) => {
    const reach = Math.ceil(Math.hypot(...sides) / 2);
    Object.assign(form.elements.offset, { min: -reach, max: reach });
  };

  const follow = () => {
    const layer = shownLayer();
    for (const legend of root.querySelectorAll("[data-legend]")) legend.hidden = legend.dataset.legend !== layer;
    const kind = form.elements.cut.value;
    fitOffset(kind === "leaning" ? mesh.high.map((value, axis) => value - mesh.low[axis]) : [mesh.high[0] - mesh.low[0], mesh.high[1] - mesh.low[1]]);
    for (const group of form.querySelectorAll("[data-cut]")) group.hidden = !group.dataset.cut.split(" ").includes(kind);
    for (const slider of form.querySelectorAll("input[type=range]")) {
      const text = slider.name === "azimuth" ? `${slider.value}°, ${SIDES[Math.round(slider.value / 45) % 8]}`
        : slider.name === "lift" ? `${slider.value.replace("-", "−")}°` : length(Number(slider.value));
      slider.setAttribute("aria-valuetext", text);
      form.querySelector(`output[for="${slider.id}"]`).textContent = text;
    }
    if (cutLink) {
      cutLink.hidden = kind === "none";
      const { azimuth, lift, offset, height } = form.elements;
      const facing = { facing: azimuth.value, ...(kind === "leaning" && { lift: lift.value }), offset: `${offset.value} mm` };
      const place = kind === "level" ? { height: `${height.value} mm` } : facing;
      cutLink.href = `${cutLink.dataset.address}?${new URLSearchParams({ cut: kind, ...place })}`;
    }
    under.textContent = "";
    dress();
    redraw();
  };

  const fitSliders = () => {
    form.elements.offset.value = 0;
    Object.assign(form.elements.height, { min: Math.floor(mesh.low[2]), max: Math.ceil(mesh.high[2]), value: Math.round(mesh.middle[2]) });
  };

  const fitCanvas = () => {
    const box = part("stage").getBoundingClientRect();
    for (const sheet of [canvas, marks]) {
      sheet.width = Math.max(1, Math.round(box.width * dots()));
      sheet.height = Math.max(1, Math.round(box.height * dots()));
    }
    redraw();
  };

  const begin = (buffer) => {
    mesh = read(buffer);
    scene = new Scene(canvas, mesh, facts.partings);
    fitSliders();
    part("wait").hidden = true;
    part("plate").hidden = false;
    form.hidden = false;
    root.dataset.state = "ready";
    holdPointers();
    canvas.addEventListener("keydown", press);
    canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
    canvas.addEventListener("webglcontextrestored", () => {
      scene.picture = scene.values = scene.depths = null;
      scene.build();
      redraw();
    });
    form.addEventListener("input", follow);
    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("click", (event) => {
      const button = event.target.closest("button");
      if (!button) return;
      const { azimuth, lift, zoom } = button.dataset;
      if (zoom === "0") move({ ...START, shift: [0, 0] });
      else if (zoom) zoomAt(Number(zoom));
      else move({ azimuth: Number(azimuth), lift: Number(lift), shift: [0, 0] });
      say();
    });
    new ResizeObserver(fitCanvas).observe(part("stage"));
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => { dress(); redraw(); });
    fitCanvas();
    follow();
    say();
  };

  part("wait").hidden = false;
  fetch(facts.mesh, { credentials: "same-origin" })
    .then((answer) => {
      if (!answer.ok) throw new Error("The shape could not be fetched. Load the page again; until then the stills below show it.");
      return answer.arrayBuffer();
    })
    .then(begin)
    .catch((problem) => refuse(`${problem.message} The stills below show the same.`));
})();
