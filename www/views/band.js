// The panel "Who plays": a row for each part, how loud everything is, and the rest folded under "More".
import { button, element } from "./dom.js";

/** @typedef {import("../session.js").Session} Session */
/** @typedef {import("../pkg/riffloom.js").BandView} BandView */
/** @typedef {import("../pkg/riffloom.js").BandPartView} BandPartView */
/** @typedef {import("../pkg/riffloom.js").SettingView} SettingView */
/** @typedef {import("../pkg/riffloom.js").LevelView} LevelView */

/**
 * Fills the panel once; what it holds stays, so that a slider that is being moved is never drawn anew.
 * @param {HTMLElement} panel
 * @param {Session} session
 * @returns {() => void} draws what the band is now
 */
export function bandPanel(panel, session) {
  const view = session.band();
  const rows = view.parts.map((part) => partRow(session, part));
  const master = {
    words: loudness(session, "all", "How loud everything is"),
    exact: levelSlider(session, "all", "How loud everything is, exactly"),
  };
  const take = element("span", { class: "hint" });
  const groups = view.groups.map((group) => ({
    title: group.title,
    settings: group.settings.map((each) => setting(session, each)),
  }));
  const more = element("details", { class: "more" }, element("summary", {}, "More"));
  // A word does for most; who wants it to a hair finds it here.
  const exact = [
    ...rows.map((row) => ({ name: row.title, level: row.exact })),
    { name: "all of it", level: master.exact },
  ];
  for (const { title, settings } of groups) {
    more.append(element("h3", {}, title), ...settings.map((each) => each.root));
  }
  more.append(
    element("h3", {}, "How loud, exactly"),
    ...exact.map(({ name, level }) =>
      element("div", { class: "setting" }, element("span", {}, name), level.slider, level.text),
    ),
  );
  more.append(
    element(
      "div",
      { class: "row take" },
      button("Another take", () => session.do({ do: "another-take" }), { class: "quiet" }),
      take,
    ),
  );
  // It opens below the panel's edge: what was asked for comes into sight.
  more.addEventListener("toggle", () => more.open && more.scrollIntoView({ block: "start" }));
  panel.append(
    ...rows.map((row) => row.root),
    element(
      "div",
      { class: "band-row everything" },
      element("b", {}, "all of it"),
      element("span"),
      master.words.select,
    ),
    more,
    element("p", { class: "hint caution" }, view.caution),
  );

  return () => {
    const now = session.band();
    now.parts.forEach((part, index) => rows[index]?.update(part));
    now.groups.forEach((group, at) =>
      group.settings.forEach((each, index) => groups[at]?.settings[index]?.update(each)),
    );
    master.words.update(now.master);
    master.exact.update(now.master);
    take.textContent = `${now.takeText}: the same kind of playing, other choices`;
  };
}

/**
 * @param {Session} session
 * @param {BandPartView} view
 */
function partRow(session, { part, title, style }) {
  const on = button("", () => session.do({ do: "set-part", part, on: on.getAttribute("aria-checked") !== "true" }), {
    class: "choice switch",
    role: "switch",
    "data-value": part,
  });
  on.append(element("b", {}, title));
  const how = chooser(session, style);
  const level = loudness(session, part, `How loud: ${title}`);
  const exact = levelSlider(session, part, `How loud, exactly: ${title}`);
  const hint = element("small", { class: "hint" });
  const root = element("div", { class: "band-row" }, on, how.select, level.select, hint);
  return {
    root,
    title,
    exact,
    /** @param {BandPartView} now */
    update(now) {
      on.setAttribute("aria-checked", String(now.on));
      root.classList.toggle("off", !now.on);
      how.update(now.style);
      level.update(now.level);
      exact.update(now.level);
      hint.textContent = now.style.hint;
    },
  };
}

/**
 * A setting with its name before it and a few words behind.
 * @param {Session} session
 * @param {SettingView} view
 */
function setting(session, view) {
  const { select, update } = view.after.length > 0 ? silentBars(session, view) : chooser(session, view);
  const hint = element("small", { class: "hint" });
  return {
    root: element("label", { class: "setting" }, element("span", {}, view.title), select, hint),
    /** @param {SettingView} now */
    update(now) {
      update(now);
      hint.textContent = now.hint;
    },
  };
}

/**
 * How many bars are silent, and after how many with click.
 * @param {Session} session
 * @param {SettingView} view
 */
function silentBars(session, view) {
  const list = (/** @type {string} */ name, /** @type {string} */ what, /** @type {SettingView["after"]} */ choices) =>
    element(
      "select",
      { "aria-label": name, "data-what": what, onchange: () => turn() },
      ...choices.map(({ value, text }) => element("option", { value }, text)),
    );
  const [silent, after] = [
    list(view.title, view.what, view.choices),
    list("Bars with the click before them", "silent-after", view.after),
  ];
  const turn = () =>
    session.do({
      do: "set-band",
      what: view.what,
      value: silent.value === "none" ? "none" : `${after.value}-${silent.value}`,
    });
  return {
    select: element("span", { class: "two" }, silent, after),
    /** @param {SettingView} now */
    update(now) {
      const chosen = (/** @type {SettingView["after"]} */ choices) =>
        choices.find((choice) => choice.chosen)?.value ?? "";
      silent.value = chosen(now.choices);
      after.hidden = silent.value === "none";
      after.value = chosen(now.after);
    },
  };
}

/**
 * @param {Session} session
 * @param {SettingView} view
 */
function chooser(session, { what, title, choices }) {
  const select = element("select", { "aria-label": title, "data-what": what });
  select.append(...choices.map(({ value, text }) => element("option", { value }, text)));
  select.addEventListener("change", () => session.do({ do: "set-band", what, value: select.value }));
  return {
    select,
    /** @param {SettingView} now */
    update(now) {
      select.value = now.choices.find((choice) => choice.chosen)?.value ?? "";
    },
  };
}

/**
 * How loud something is, in a word.
 * @param {Session} session
 * @param {string} part a part, or "all"
 * @param {string} name
 */
function loudness(session, part, name) {
  const select = element("select", { "aria-label": name, "data-loudness": part });
  select.addEventListener("change", () => session.do({ do: "set-level", part, decibels: Number(select.value) }));
  return {
    select,
    /** @param {LevelView} now */
    update(now) {
      if (select.options.length === 0)
        select.append(...now.words.map(({ value, text }) => element("option", { value }, text)));
      select.value = now.words.find((word) => word.chosen)?.value ?? "";
    },
  };
}

/**
 * @param {Session} session
 * @param {string} part a part, or "all"
 * @param {string} name
 */
function levelSlider(session, part, name) {
  const slider = element("input", { type: "range", class: "level", "aria-label": name, "data-part": part });
  const text = element("output", { class: "hint" });
  slider.addEventListener("input", () => session.do({ do: "set-level", part, decibels: Number(slider.value) }));
  return {
    slider,
    text,
    /** @param {LevelView} now */
    update(now) {
      slider.min = String(now.least);
      slider.max = String(now.most);
      slider.value = String(now.decibels);
      slider.setAttribute("aria-valuetext", now.text);
      text.textContent = now.text;
    },
  };
}
