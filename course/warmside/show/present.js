// A lesson on the wall, for a class that looks from afar: one step at a time, as large as fits.

const TEXT_WIDTH = 1100; // what text and a lab are laid out in, before they are enlarged [px]
const LAB_WIDTH = 1280;
const LAB_HEIGHT = 790;
const TYPED_IN = "input:not([type=radio], [type=checkbox]), select, textarea";

// A heading by itself goes with what follows it.
function stepsOf(main) {
  const steps = [];
  let ahead = [];
  for (const block of main.children) {
    const isHeading = block.children.length === 1 && block.firstElementChild.matches("h2, h3");
    if (isHeading) ahead.push(block);
    else {
      steps.push([...ahead, block]);
      ahead = [];
    }
  }
  return ahead.length ? [...steps, ahead] : steps;
}

export function present(main) {
  const steps = stepsOf(main);
  const bar = document.createElement("nav");
  bar.className = "steps";
  bar.setAttribute("aria-label", "Steps");
  bar.innerHTML = `<button type="button">‹ Before</button><span role="status"></span><button type="button">Next ›</button>`;
  const [before, told, next] = bar.children;
  document.body.append(bar);
  let at = 0;

  const enlarge = () => {
    const isLab = steps[at].some((block) => block.querySelector("[data-lab]"));
    const wide = innerWidth / (isLab ? LAB_WIDTH : TEXT_WIDTH);
    const frame = bar.offsetHeight + document.querySelector(".top").offsetHeight;
    const high = (innerHeight - frame) / LAB_HEIGHT;
    main.style.zoom = Math.max(1, isLab ? Math.min(wide, high) : wide);
    main.classList.toggle("lab-step", isLab); // it keeps its shape: wider, it would be higher too
    main.style.setProperty("--lab-width", `${LAB_WIDTH}px`);
  };
  const go = (to) => {
    at = Math.max(0, Math.min(to, steps.length - 1));
    steps.forEach((blocks, place) => blocks.forEach((block) => block.classList.toggle("away", place !== at)));
    told.textContent = `Step ${at + 1} of ${steps.length}`;
    before.disabled = at === 0;
    next.disabled = at === steps.length - 1;
    enlarge();
    scrollTo(0, 0);
  };
  const goToHash = () => {
    const wanted = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    const place = steps.findIndex((blocks) => wanted && blocks.some((block) => block.contains(wanted)));
    go(Math.max(place, 0));
  };

  before.onclick = () => go(at - 1);
  next.onclick = () => go(at + 1);
  addEventListener("resize", enlarge);
  addEventListener("hashchange", goToHash);
  addEventListener("keydown", (event) => {
    if (event.defaultPrevented || event.ctrlKey || event.altKey || event.metaKey || event.target.matches(TYPED_IN)) return;
    const isFree = !main.contains(event.target); // arrows in a lab or on a choice are its own
    const ahead = event.key === "PageDown" || (isFree && event.key === "ArrowRight");
    const back = event.key === "PageUp" || (isFree && event.key === "ArrowLeft");
    const isAtEnd = steps[at].at(-1).getBoundingClientRect().bottom < innerHeight - bar.offsetHeight + 4;
    if (ahead && (event.key === "ArrowRight" || isAtEnd)) go(at + 1);
    else if (back && (event.key === "ArrowLeft" || scrollY < 4)) go(at - 1);
    else return; // what is longer than the wall is high scrolls first
    event.preventDefault();
  });
  goToHash();
}
