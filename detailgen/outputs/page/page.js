// The page: joints are made when they come near the window; sheets grow and shrink; light or dark by choice.
"use strict";

async function unpacked(text) {
  const packed = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream).arrayBuffer();
}

function startJoints() {
  const boxes = [...document.querySelectorAll(".joint")];
  if (!boxes.length) return;
  let painter = null;
  const still = (box, why) => {
    box.classList.add("still");
    box.querySelector("output").textContent = `The joint cannot be turned here (${why}); its picture and its files show the same.`;
  };
  try {
    painter = new Painter();
  } catch (error) {
    boxes.forEach((box) => still(box, error.message));
    return;
  }
  painter.canvas.addEventListener("webglcontextlost", () => boxes.forEach((box) => still(box, "the graphics were lost")));
  const joints = [];
  const start = async (box) => {
    try {
      const data = JSON.parse(document.getElementById(box.dataset.model).textContent);
      data.points = JSON.parse(new TextDecoder().decode(await unpacked(data.points)));
      const joint = new Joint(box, data, painter, readGlb(await unpacked(data.glb)));
      joints.push(joint);
      box.joint = joint;
      box.classList.add("live");
    } catch (error) {
      still(box, error.message);
    }
  };
  const near = new IntersectionObserver((seen) => {
    for (const one of seen) {
      if (one.isIntersecting) {
        near.unobserve(one.target);
        start(one.target);
      }
    }
  }, { rootMargin: "600px" });
  boxes.forEach((box) => near.observe(box));
  const repaint = () => joints.forEach((joint) => joint.soon());
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", repaint);
  new MutationObserver(repaint).observe(document.documentElement, { attributeFilter: ["data-light"] });
}

function startSheets() {
  for (const sheet of document.querySelectorAll(".sheet")) {
    const paper = sheet.querySelector(".paper");
    let size = 1;
    sheet.querySelectorAll("[data-do=size]").forEach((button) => button.addEventListener("click", () => {
      size = button.value === "whole" ? 1 : Math.max(1, Math.min(8, size * Number(button.value)));
      paper.style.setProperty("--size", size);
    }));
  }
}

function startLight() {
  const chosen = document.querySelector("[data-do=light]");
  chosen.addEventListener("change", () => {
    if (chosen.value) document.documentElement.dataset.light = chosen.value;
    else delete document.documentElement.dataset.light;
  });
}

startJoints();
startSheets();
startLight();
