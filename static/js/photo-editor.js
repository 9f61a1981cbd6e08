// Turn, crop and cover a photo by finger or mouse. Places are shares of the turned picture, as the server reads them.
"use strict";

(() => {
  const COVER = "#767470";
  const LEAST = 0.05;
  const LARGEST = 4096;

  function blank() {
    return { turn: 0, crop: [0, 0, 1, 1], strokes: [], boxes: [] };
  }

  // The picture with its changes on a canvas whose longer side is at most `longest`; `whole`: uncropped, for drawing on.

  function paint(canvas, image, edits, longest, whole) {
    const lying = edits.turn % 180 !== 0;
    const natural = [image.naturalWidth, image.naturalHeight];
    const [fullWidth, fullHeight] = lying ? [natural[1], natural[0]] : natural;
    const scale = Math.min(1, longest / Math.max(fullWidth, fullHeight));
    const [width, height] = [Math.round(fullWidth * scale), Math.round(fullHeight * scale)];
    const [left, top, right, bottom] = whole ? [0, 0, 1, 1] : edits.crop;
    canvas.width = Math.max(1, Math.round((right - left) * width));
    canvas.height = Math.max(1, Math.round((bottom - top) * height));
    const pen = canvas.getContext("2d");
    pen.translate(-left * width, -top * height);
    pen.save();
    pen.translate(width / 2, height / 2);
    pen.rotate((edits.turn * Math.PI) / 180);
    pen.drawImage(image, (-natural[0] * scale) / 2, (-natural[1] * scale) / 2, natural[0] * scale, natural[1] * scale);
    pen.restore();
    pen.fillStyle = pen.strokeStyle = COVER;
    pen.lineCap = pen.lineJoin = "round";
    for (const [l, t, r, b] of edits.boxes) pen.fillRect(l * width, t * height, (r - l) * width, (b - t) * height);
    for (const stroke of edits.strokes) {
      pen.lineWidth = 2 * stroke.radius * Math.max(width, height);
      pen.beginPath();
      stroke.points.forEach(([x, y], i) => (i ? pen.lineTo(x * width, y * height) : pen.moveTo(x * width, y * height)));
      if (stroke.points.length === 1) pen.lineTo(stroke.points[0][0] * width + 0.01, stroke.points[0][1] * height);
      pen.stroke();
    }
    if (whole) shade(pen, edits.crop, width, height);
  }

  function shade(pen, [left, top, right, bottom], width, height) {
    pen.fillStyle = "rgba(255, 255, 255, 0.72)";
    pen.beginPath();
    pen.rect(0, 0, width, height);
    pen.rect(left * width, top * height, (right - left) * width, (bottom - top) * height);
    pen.fill("evenodd");
  }

  function turned([x, y], right) {
    return right ? [1 - y, x] : [y, 1 - x];
  }

  function turnedBox([l, t, r, b], right) {
    const [a, c] = [turned([l, t], right), turned([r, b], right)];
    return [Math.min(a[0], c[0]), Math.min(a[1], c[1]), Math.max(a[0], c[0]), Math.max(a[1], c[1])];
  }

  function changed(edits) {
    const uncut = edits.crop.every((side, i) => Math.abs(side - [0, 0, 1, 1][i]) < 0.0005);
    return edits.turn || !uncut || edits.strokes.length || edits.boxes.length;
  }

  // The editor on a page or in a dialog: `load` shows a picture, `edits` tells what was made of it, or null.

  function attach(root) {
    const canvas = root.querySelector("canvas");
    const wrong = root.querySelector("[data-wrong]");
    const numbers = root.querySelector("details");
    const field = (name) => root.querySelector(`[name=${name}]`);
    let image = null;
    let edits = blank();
    let order = [];
    let drawing = null;

    root.querySelector(".by-finger").hidden = false;
    root.querySelector(".by-script").hidden = false;

    function show() {
      wrong.textContent = "";
      // The numbers follow the finger.
      root.querySelector(`[name=turn][value="${edits.turn}"]`).checked = true;
      const cut = [edits.crop[0], edits.crop[1], 1 - edits.crop[2], 1 - edits.crop[3]];
      ["cut_left", "cut_top", "cut_right", "cut_bottom"].forEach((name, i) => {
        field(name).value = cut[i] > 0.0005 ? Math.round(100 * cut[i]) : "";
      });
      if (image) paint(canvas, image, edits, 1200, true);
    }

    function load(picture) {
      image = picture;
      edits = blank();
      order = [];
      numbers.open = false;
      for (const input of numbers.querySelectorAll("input[type=number]")) input.value = "";
      show();
    }

    function turn(right) {
      edits.turn = (edits.turn + (right ? 90 : 270)) % 360;
      edits.crop = turnedBox(edits.crop, right);
      edits.boxes = edits.boxes.map((box) => turnedBox(box, right));
      for (const stroke of edits.strokes) stroke.points = stroke.points.map((point) => turned(point, right));
    }

    function undo() {
      const last = order.pop();
      if (last === "stroke") edits.strokes.pop();
      else if (last === "box") edits.boxes.pop();
      else if (last === "left") turn(true);
      else if (last === "right") turn(false);
      else edits.crop = [0, 0, 1, 1];
    }

    function share(name) {
      const typed = field(name).value.trim();
      return typed === "" ? null : Math.min(100, Math.max(0, Number(typed) || 0)) / 100;
    }

    function readNumbers() {
      const to = Number(root.querySelector("[name=turn]:checked").value);
      while (edits.turn !== to) turn(true);
      edits.crop = [share("cut_left") || 0, share("cut_top") || 0, 1 - (share("cut_right") || 0), 1 - (share("cut_bottom") || 0)];
      const box = ["cover_left", "cover_top", "cover_right", "cover_bottom"].map(share);
      if (box.some((side) => side !== null)) {
        edits.boxes.push(box.map((side, i) => (side === null ? Number(i > 1) : side)));
        order.push("box");
        for (const name of ["cover_left", "cover_top", "cover_right", "cover_bottom"]) field(name).value = "";
      }
    }

    const work = {
      left: () => (turn(false), order.push("left")),
      right: () => (turn(true), order.push("right")),
      undo,
      numbers: readNumbers,
    };
    root.addEventListener("click", (event) => {
      const asked = event.target.closest("[data-do]");
      if (!asked || !image) return;
      work[asked.dataset.do]();
      show();
    });
    root.addEventListener("change", (event) => {
      if (event.target.name !== "finger") return;
      for (const hint of root.querySelectorAll("[data-hint]")) hint.hidden = hint.dataset.hint !== event.target.value;
    });

    function place(event) {
      const box = canvas.getBoundingClientRect();
      return [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height].map((at) =>
        Math.min(1, Math.max(0, Math.round(at * 1e4) / 1e4)),
      );
    }

    canvas.addEventListener("pointerdown", (event) => {
      if (!image) return;
      canvas.setPointerCapture(event.pointerId);
      const at = place(event);
      if (root.querySelector("[name=finger]:checked").value === "cover") {
        drawing = { radius: Number(field("brush").value) / 200, points: [at] };
        edits.strokes.push(drawing);
        order.push("stroke");
      } else {
        drawing = { from: at };
      }
      show();
    });
    canvas.addEventListener("pointermove", (event) => {
      if (!drawing) return;
      const at = place(event);
      if (drawing.points) {
        drawing.points.push(at);
      } else {
        const [x, y] = drawing.from;
        edits.crop = [Math.min(x, at[0]), Math.min(y, at[1]), Math.max(x, at[0]), Math.max(y, at[1])];
      }
      show();
    });
    for (const end of ["pointerup", "pointercancel"]) {
      canvas.addEventListener(end, () => {
        if (drawing?.from && edits.crop[2] - edits.crop[0] < LEAST) edits.crop = [0, 0, 1, 1];
        else if (drawing?.from) order.push("crop");
        drawing = null;
        show();
      });
    }

    function result() {
      const [left, top, right, bottom] = edits.crop;
      if (!changed(edits)) wrong.textContent = root.dataset.nothing;
      else if (right - left < LEAST || bottom - top < LEAST) wrong.textContent = root.dataset.little;
      else return edits;
      return null;
    }
    return { load, edits: result };
  }

  // The changed picture as a JPEG file.

  function made(image, edits) {
    const canvas = document.createElement("canvas");
    paint(canvas, image, edits, LARGEST, false);
    return new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.92));
  }

  window.photoEditor = { attach, made };

  const form = document.querySelector("form[data-change]");
  if (form) {
    const editor = attach(form.querySelector("[data-editor]"));
    const image = new Image();
    image.addEventListener("load", () => {
      form.querySelector(".photo-now").hidden = true;
      editor.load(image);
    });
    image.src = form.dataset.picture;
    form.addEventListener("submit", (event) => {
      if (!image.complete || !image.naturalWidth) return;
      // What was typed last counts without a press on "show".
      if (form.querySelector("details").open) form.querySelector("[data-do=numbers]").click();
      const edits = editor.edits();
      if (edits) form.elements.drawn.value = JSON.stringify(edits);
      else event.preventDefault();
    });
  }
})();
