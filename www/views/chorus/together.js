// How the chorus hangs together, in words and as a small plot of height, density and loudness.
import { element, svg } from "../dom.js";

/** @typedef {import("../../pkg/riffloom.js").ChorusView} ChorusView */

/** The plot's width for a bar and its height, in units of the drawing. */
const [BAR, HEIGHT] = [10, 40];

/** @param {HTMLElement} root */
export function mountTogether(root) {
  const words = element("div", { class: "together-words" });
  const plot = element("div", { class: "arc-plot" });
  const key = element("p", { class: "hint arc-key" }, "Line: how high. Columns: how many notes. Dots: accents.");
  root.append(element("h2", {}, "How it hangs together"), plot, words, key);
  let drawn = "";

  return (/** @type {ChorusView} */ chorus) => {
    const now = JSON.stringify([chorus.warnings, chorus.together, chorus.arc]);
    if (now === drawn) return;
    drawn = now;
    words.replaceChildren(
      ...chorus.warnings.map((text) => element("p", { class: "warning" }, text)),
      ...chorus.together.map((text) => element("p", {}, text)),
      ...(chorus.together.length > 0 ? [element("p", {}, chorus.arc.text)] : []),
    );
    plot.replaceChildren(...(chorus.together.length > 0 ? [arc(chorus)] : []));
    plot.hidden = key.hidden = chorus.together.length === 0;
  };
}

/** @param {ChorusView} chorus */
function arc({ arc: { bars, text } }) {
  const drawing = svg("svg", {
    viewBox: `0 0 ${bars.length * BAR} ${HEIGHT}`,
    preserveAspectRatio: "none",
    role: "img",
    "aria-label": text,
  });
  const y = (/** @type {number} */ fraction) => HEIGHT - 4 - fraction * (HEIGHT - 8);
  let path = "";
  let lifted = true;
  bars.forEach((bar, index) => {
    drawing.append(
      svg("rect", {
        class: "density",
        x: index * BAR + 1.5,
        width: BAR - 3,
        y: HEIGHT - bar.density * HEIGHT * 0.6,
        height: bar.density * HEIGHT * 0.6,
      }),
    );
    if (bar.loudness > 0) {
      // The drawing is stretched sideways: a short thick line keeps its roundness where a circle would not.
      drawing.append(
        svg("path", {
          class: "loudness",
          d: `M${(index + 0.5) * BAR} ${HEIGHT - 3}v0.01`,
          "stroke-width": 4 + 5 * bar.loudness,
        }),
      );
    }
    if (bar.height === undefined || bar.height === null) lifted = true;
    else {
      path += `${lifted ? "M" : "L"}${(index + 0.5) * BAR} ${y(bar.height)}`;
      if (lifted) path += "h0.01";
      lifted = false;
    }
  });
  drawing.append(svg("path", { class: "height", d: path }));
  for (let bar = 4; bar < bars.length; bar += 4)
    drawing.append(svg("path", { class: "rule", d: `M${bar * BAR} 0V${HEIGHT}` }));
  return drawing;
}
