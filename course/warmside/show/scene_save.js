// Save a stage as a PNG: what lies below the air, the air as it is now, what lies above.

const SAVED_LARGER = 2;
const SAVED_STYLE =
  'text { font: 16px system-ui, "DejaVu Sans", sans-serif; fill: #1b2530; } .warmside-strong { font-weight: 700; } ' +
  ".halo { paint-order: stroke; stroke: #f7f5f0; stroke-width: 5px; } .warmside-light { fill: #ffffff; }";

async function saveStage(back, air, front) {
  const [width, height] = [STAGE.width * SAVED_LARGER, STAGE.height * SAVED_LARGER];
  const canvas = element("canvas", { width, height });
  const context = canvas.getContext("2d");
  const size = { xmlns: "http://www.w3.org/2000/svg", width, height, viewBox: `0 0 ${STAGE.width} ${STAGE.height}` };
  for (const layer of [back, air, front]) {
    let image = layer;
    if (typeof layer === "string") {
      image = new Image();
      image.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(tag("svg", size, `<style>${SAVED_STYLE}</style>${layer}`))}`;
      await image.decode();
    }
    context.drawImage(image, 0, 0, width, height);
  }
  element("a", { href: canvas.toDataURL("image/png"), download: "lab.png" }).click();
}
