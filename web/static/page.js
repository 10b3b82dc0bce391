// The pages work without this. It shows chosen photos before they are sent,
// says beforehand when they are too large, and shows on the picture where the
// field that has the focus was read.
"use strict";

const form = document.getElementById("sendform");
if (form) {
  const chosen = document.getElementById("chosen");
  const busy = document.getElementById("busy");
  const inputs = [...form.querySelectorAll("input[type=file]")];
  const limit = (name) => Number(form.dataset[name]);
  const usual = busy.textContent;

  const files = () => inputs.flatMap((i) => [...i.files]);
  const trouble = (list) => {
    const mb = (n) => Math.floor(n / 1048576) + " MB";
    if (list.length > limit("files")) return "Too many at once: send at most " + limit("files") + " pictures.";
    const big = list.find((f) => f.size > limit("filebytes"));
    if (big) return big.name + " is larger than " + mb(limit("filebytes")) + ": send a smaller picture.";
    const all = list.reduce((n, f) => n + f.size, 0);
    if (all > limit("bytes") * 0.99) return "Together larger than " + mb(limit("bytes")) + ": send fewer at a time.";
    return "";
  };

  const show = () => {
    chosen.querySelectorAll("img").forEach((i) => URL.revokeObjectURL(i.src));
    chosen.replaceChildren();
    const list = files();
    for (const f of list) {
      const fig = document.createElement("figure");
      if (/^image\/(jpeg|png|webp|gif)$/.test(f.type)) {
        const img = document.createElement("img");
        img.alt = "";
        img.src = URL.createObjectURL(f);
        fig.append(img);
      }
      const cap = document.createElement("figcaption");
      cap.textContent = f.name;
      fig.append(cap);
      chosen.append(fig);
    }
    const why = trouble(list);
    busy.textContent = why || usual;
    busy.classList.toggle("wrong", why !== "");
  };
  inputs.forEach((i) => i.addEventListener("change", show));

  form.addEventListener("submit", (e) => {
    const list = files();
    const why = list.length === 0 ? "Choose a photo first." : trouble(list);
    if (why) {
      e.preventDefault();
      busy.textContent = why;
      busy.classList.add("wrong");
      return;
    }
    busy.classList.remove("wrong");
    busy.textContent = "Sending and reading. This takes some seconds a picture; keep this page open.";
  });
}

document.addEventListener("focusin", (e) => {
  document.querySelectorAll(".frame.lit").forEach((f) => f.classList.remove("lit"));
  const id = e.target.dataset && e.target.dataset.frame;
  const frame = id && document.getElementById(id);
  if (!frame) return;
  frame.classList.add("lit");
  const box = frame.closest(".picture");
  const f = frame.getBoundingClientRect();
  const b = box.getBoundingClientRect();
  if (f.top < b.top || f.bottom > b.bottom) box.scrollTop += f.top - b.top - box.clientHeight / 2;
});
