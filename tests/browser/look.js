// Looks at a page as it was laid out, and returns what is wrong with it: text that runs out of the
// page or lies on other text or on a mark, and text that stands out too little from its ground
// (WCAG 2.2, 1.4.3: 4.5 to 1, large text 3 to 1).
const faults = [];
const say = (what, node) => faults.push(`${what}: <${node.tagName}> "${(node.textContent || "").trim().slice(0, 60)}"`);
const width = document.documentElement.clientWidth;

// ---- running out -------------------------------------------------------------
if (document.documentElement.scrollWidth > width) {
  faults.push(`the page is ${document.documentElement.scrollWidth} wide in a window of ${width}`);
}
const scrolls = node => node.closest && node.closest(".wide");
for (const node of document.querySelectorAll("body *")) {
  const box = node.getBoundingClientRect();
  if (box.width > 0 && (box.right > width + 0.5 || box.left < -0.5) && !scrolls(node)) {
    say(`runs out of the page (${box.left.toFixed(1)} to ${box.right.toFixed(1)} of ${width})`, node);
  }
}
// Text cut off by its own box.
for (const node of document.querySelectorAll("p, li, dd, dt, td, th, h1, h2, h3")) {
  if (node.scrollWidth > node.clientWidth + 1 && node.clientWidth > 0 && !scrolls(node)) {
    say("wider than its box", node);
  }
}

// ---- pictures ----------------------------------------------------------------
const meets = (a, b, slack) => a.left < b.right - slack && b.left < a.right - slack &&
  a.top < b.bottom - slack && b.top < a.bottom - slack;
for (const picture of document.querySelectorAll("svg.picture")) {
  const frame = picture.getBoundingClientRect();
  const scale = frame.width / picture.viewBox.baseVal.width;
  const texts = [...picture.querySelectorAll("text")].filter(text => text.textContent.trim());
  // The letters fill about the middle of the box that the font gives them.
  const boxes = texts.map(text => {
    const box = text.getBoundingClientRect();
    const upright = !/rotate/.test(text.getAttribute("transform") || "");
    const trim = upright ? box.height * 0.2 : 0, side = upright ? 0 : box.width * 0.2;
    return {left: box.left + side, right: box.right - side, top: box.top + trim, bottom: box.bottom - trim};
  });
  const marks = [...picture.querySelectorAll(".sure, .doubt, .spot, .mark")];
  texts.forEach((text, i) => {
    const box = boxes[i];
    if (box.left < frame.left - 1 || box.right > frame.right + 1 || box.top < frame.top - 1 ||
        box.bottom > frame.bottom + 1) {
      say("runs out of its picture", text);
    }
    for (let j = i + 1; j < texts.length; j++) {
      if (meets(box, boxes[j], 0.6 * scale)) {
        say(`lies on the text "${texts[j].textContent}"`, text);
      }
    }
    for (const mark of marks) {
      if (meets(box, mark.getBoundingClientRect(), 0.6 * scale)) {
        say(`lies on a mark (${mark.getAttribute("class")})`, text);
      }
    }
  });
  if (!picture.querySelector("title") || !picture.querySelector("desc")) {
    say("has no title or no description", picture);
  }
}

// ---- contrast ------------------------------------------------------------------
const channels = colour => (colour.match(/[\d.]+/g) || []).map(Number);
const luminance = colour => {
  const part = channels(colour).slice(0, 3).map(value => {
    const share = value / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * part[0] + 0.7152 * part[1] + 0.0722 * part[2];
};
const contrast = (a, b) => {
  const one = luminance(a), two = luminance(b);
  return (Math.max(one, two) + 0.05) / (Math.min(one, two) + 0.05);
};
// The fill that lies under the middle of a text in a picture.
const ground = text => {
  text.scrollIntoView({block: "center", inline: "center"});
  const box = text.getBoundingClientRect();
  const stack = document.elementsFromPoint((box.left + box.right) / 2, (box.top + box.bottom) / 2);
  for (const node of stack) {
    if (node === text || node.tagName === "text" || node.tagName === "tspan") { continue; }
    if (node instanceof SVGElement && node.tagName !== "svg" && node.tagName !== "g") {
      const fill = getComputedStyle(node).fill;
      if (fill !== "none") { return fill; }
    } else if (!(node instanceof SVGElement)) {
      const paper = getComputedStyle(node).backgroundColor;
      if (channels(paper)[3] !== 0) { return paper; }
    }
  }
  return "rgb(255, 255, 255)";
};
const paperOf = node => {
  for (let at = node; at; at = at.parentElement) {
    const paper = getComputedStyle(at).backgroundColor;
    if (channels(paper)[3] !== 0) { return paper; }
  }
  return "rgb(255, 255, 255)";
};
const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
const done = new Set();
while (walker.nextNode()) {
  const node = walker.currentNode.parentElement;
  if (!walker.currentNode.textContent.trim() || done.has(node)) { continue; }
  done.add(node);
  if (/^(title|desc|style|STYLE|SCRIPT)$/.test(node.tagName)) { continue; }
  const style = getComputedStyle(node);
  const drawn = node instanceof SVGElement;
  const under = drawn ? ground(node) : paperOf(node);
  if (/url/.test(under)) {
    say("stands on a pattern", node);
    continue;
  }
  const ratio = contrast(drawn ? style.fill : style.color, under);
  const size = parseFloat(style.fontSize), bold = parseInt(style.fontWeight, 10) >= 700;
  const least = size >= 24 || (bold && size >= 18.66) ? 3 : 4.5;
  if (ratio < least) {
    say(`has a contrast of ${ratio.toFixed(2)}, less than ${least}`, node);
  }
}
return faults;
