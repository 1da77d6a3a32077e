// What a lab's page looks like: texts that lie over one another or over what can be grabbed, and letters that are smaller than `least` [px].
(lab, least) => {
  const shown = (one) => one.checkVisibility({ visibilityProperty: true });
  const scale = (svg) => svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
  const hasText = (one) => [...one.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim());
  const rolled = (one) => one.closest(".warmside-settings"); // its rows scroll, so that some lie beyond its box
  // What of its box is seen, where something around it scrolls.
  const seen = (one) => {
    let { left, right, top, bottom } = one.getBoundingClientRect();
    for (let frame = one.parentElement; frame !== lab.parentElement; frame = frame.parentElement) {
      if (getComputedStyle(frame).overflowX === "visible" || frame.tagName === "svg") continue;
      const box = frame.getBoundingClientRect();
      [left, right, top, bottom] = [Math.max(left, box.left), Math.min(right, box.right), Math.max(top, box.top), Math.min(bottom, box.bottom)];
    }
    return { left, right, top, bottom };
  };
  const texts = [...lab.querySelectorAll("text, button, p, b, span, small, div, label, th, td, caption")].filter(
    (one) => shown(one) && hasText(one) && !rolled(one),
  );
  const discs = [...lab.querySelectorAll(".warmside-icon svg")].filter(shown);
  const boxes = [...texts, ...discs].map((one) => {
    const said = one.textContent.trim() || one.closest("[data-handle]").dataset.handle;
    return { one, said, box: seen(one) };
  });
  const over = [];
  boxes.forEach(({ one, said, box }, k) => {
    for (const other of boxes.slice(k + 1)) {
      if (one.contains(other.one) || other.one.contains(one)) continue;
      const wide = Math.min(box.right, other.box.right) - Math.max(box.left, other.box.left);
      const high = Math.min(box.bottom, other.box.bottom) - Math.max(box.top, other.box.top);
      if (wide > 2 && high > 2.5) over.push(`${said} | ${other.said} | ${wide.toFixed()} x ${high.toFixed()}`);
    }
  });
  const size = (one) => parseFloat(getComputedStyle(one).fontSize) * (one.ownerSVGElement ? scale(one.ownerSVGElement) : 1);
  const small = texts.filter((one) => size(one) < least).map((one) => `${one.textContent.trim()}: ${size(one)}`);
  return { over, small };
}
