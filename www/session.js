// One open notebook: passes commands to the core, keeps what changed, and plays.
//
// Views listen to it: "changed" (detail: the parts of the screen to be drawn at once), "drawn" (the page shows all that
// the core holds), "gone" (another part of the page is shown), "missing" (that part did not come), "playing" (detail: boolean), "saved" (detail: a Saved),
// "trouble" (detail: what the browser, the device or another page does, in a sentence), "anew" (the core was started anew: all
// of the page is to be drawn), "sound" (detail: "running" | "asleep"), "elsewhere" (another open page changed the
// notebook), "broken" (the core cannot be started anew), "key" (detail: a KeyMove: a key on the screen, of a
// computer keyboard or of MIDI went down or up), "wish" (a switch of `wishes.js` was turned), "bar" (detail: the bar of the
// form that sounds, from 0; below 0 while none does), "planned" (`plan` reaches further), "followed" (`followed` is another),
// "did" (detail: a Command that was done), "practice" (detail: the Practice screen, when it is shown and has changed),
// "taking" (what is played in has changed; see `taking`), "hearing" (a microphone was turned on or off; see `hearing`), "ask" (detail: the part
// of the page that is asked for), and a part's own name (it is here; detail: whether it was asked for).
import init, { __wbg_reset_state as resetCore, App, Fate, Heard, rescue } from "./pkg/riffloom.js";
import { PressClock } from "./clock.js";
import { written } from "./command.js";
import { compiled } from "./core.js";
import { freshId } from "./ids.js";
import { building, isOpen, openAgain, openRoom, sentCore } from "./rooms.js";
import { Storage } from "./storage.js";
import { startWorker } from "./where.js";

export { Heard };

/** @typedef {import("./command.js").Command} Command */
/** @typedef {import("./pkg/riffloom.js").Changed} Changed */
/** @typedef {import("./pkg/riffloom.js").AlongView} AlongView */
/** @typedef {import("./pkg/riffloom.js").PracticeView} PracticeView */
/** @typedef {import("./pkg/riffloom.js").TokenView} TokenView */
/** @typedef {import("./pkg/riffloom.js").BandView} BandView */
/** @typedef {import("./pkg/riffloom.js").TakeView} TakeView */
/** How keeping goes. @typedef {"saving" | "saved" | "memory" | "waiting" | "full" | "failed"} Saved */
/** @typedef {import("./pkg/riffloom.js").RecordView} RecordView */
/** @typedef {{ bar: number, fraction: number, beat: number, beats: number, counting: boolean }} Position */

/** What is followed where nothing sounds. @type {AlongView} */
const NOTHING = { positions: [], scenes: [], riff: [], notes: [] };

/** What is heard of a chorus. */
const IN_CHORUS = [Heard.Chorus, Heard.ChorusAlone, Heard.ChorusBand, Heard.Placement];

/** How often the player hands out what sounds next, in milliseconds. */
const TICK = 250;
/** How long writing waits for the frame that shows what is written, in milliseconds. */
const SOON = 50;
/** How long after the last edit the loudness is measured anew, in milliseconds. */
const LEVEL_AFTER = 1500;
/** How long the audio clock may stand still after it was woken, in milliseconds. */
const STANDSTILL = 400;

/** Commands after which what is played in is told anew, also where none was. @type {Set<Command["do"]>} */
const OF_TAKING = new Set(["set-play-in", "take-down", "take-reading", "name-notes", "close-take"]);

/** Commands that begin and end what is played freely. @type {Set<Command["do"]>} */
const OF_FREE = new Set(["begin-free-chorus", "end-free-chorus"]);
/** How many ticks go by from one writing of what is being played to the next. */
const TICKS_TO_KEEP = 8;
/** How long what sounds takes to fade when it cannot go on, in milliseconds. */
const FADE = 40;
/** The id of the record with the order of the riffs. */
const ORDER = "order";
/** How soon what could not be written is tried again, in milliseconds; each time twice as long, to a limit. */
const [AGAIN, AGAIN_AT_MOST] = [3000, 60_000];
/** How long a lost connection to the storage may take to come back before it is told, in milliseconds. */
const LOST_FOR = 1000;
/** The core is started anew so often, within so many milliseconds: more would be the same again and again. */
const [MOST_BREAKS, BREAKS_WITHIN] = [3, 10_000];

/**
 * Whether a record holds what was practised.
 * @param {string} id
 */
function isPast(id) {
  return id.startsWith("past-");
}

/**
 * Whether the core broke off in the middle of a call: nothing can be asked of it any more.
 * @param {any} error
 */
function isBreak(error) {
  // Deep calls end as a RangeError, in Firefox as an InternalError; what was broken before is held for ever.
  return (
    error instanceof WebAssembly.RuntimeError ||
    error instanceof RangeError ||
    error?.name === "InternalError" ||
    /^recursive use of an object/.test(error?.message)
  );
}

/** Thrown where a record in storage must be read first, and the room that reads records has not come. */
const NEEDS_READING = new Error("the room that reads records is not open");

/** What a core that is gone answers: its objects would touch anything in the new one. */
function gone() {
  throw new Error("the core was started anew");
}
/** A core that is not there for a moment. */
const AWAY = /** @type {App} */ (new Proxy({}, { get: () => gone }));

/** Starts the core anew, with the rooms that were open. */
function freshCore() {
  resetCore();
  openAgain();
}

/**
 * Opens a room of the core. Gives whether it is open.
 * @param {import("./rooms.js").Room} room
 */
function comes(room) {
  return openRoom(room).then(
    () => true,
    () => false,
  );
}

/**
 * Those of the records with which the core opens.
 * @param {RecordView[]} records
 * @returns {RecordView[]}
 */
function bearable(records) {
  try {
    new App(records, freshId()).free();
    return records;
  } catch (error) {
    if (!isBreak(error)) throw error;
    freshCore();
    if (records.length < 2) return [];
    const middle = records.length >> 1;
    return [...bearable(records.slice(0, middle)), ...bearable(records.slice(middle))];
  }
}

/** The day that it is here, counted from 1 January 1970. */
export function today() {
  const now = new Date();
  return Date.UTC(now.getFullYear(), now.getMonth(), now.getDate()) / 86_400_000;
}

/** Opens what was kept. */
export async function open() {
  const [storage, core] = await Promise.all([Storage.open(), compiled("riffloom_bg.wasm")]);
  await init({ module_or_path: core });
  // Whoever was here before has records, and the page's files are on the device. Where this one does not come, the
  // records are read as soon as it does.
  const reads = storage.records.length === 0 || (await comes("files"));
  return new Session(storage, core, reads);
}

export class Session extends EventTarget {
  #writingOn = false;
  /** When the core broke, in milliseconds. @type {number[]} */
  #breaks = [];
  /** Counts the cores. */
  #turn = 0;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #again = undefined;
  #wait = AGAIN;
  /** Whether a record had to be left out, so that what seems to belong to nothing may belong to it. */
  leftOut = false;
  /** Whether storage had lost what this page has, and it is being written once more. */
  #wasEmptied = false;
  /** Where all sound leaves. @type {GainNode | undefined} */
  #out = undefined;

  /**
   * @param {Storage} storage
   * @param {WebAssembly.Module} core compiled once, for the page and its workers
   * @param {boolean} reads whether the records can be read
   */
  constructor(storage, core, reads) {
    super();
    this.storage = storage;
    this.core = core;
    /** Whether this is the very first visit: nothing was kept. */
    this.isFirstVisit = storage.records.length === 0 && storage.refused !== "waiting";
    /** How keeping goes. @type {Saved} */
    this.saved = storage.refused || (reads ? "saved" : "failed");
    /** Whether what was kept is still to come. */
    this.waitsForRecords = !storage.hasAnswered || !reads;
    this.app = this.#coreWith(reads ? storage.records : []);
    if (!reads) this.#tryLater(() => this.#storageIsBack([]));
    /** Tells this page from others that are open, in what they keep of practising. */
    this.stamp = crypto.getRandomValues(new Uint32Array(1))[0] ?? 0;
    this.app.setToday(today(), this.stamp);
    if (!this.waitsForRecords) takeWayBack(this.app);
    this.#writingOn = !this.isFirstVisit;
    /** @type {Changed} */
    this.screen = this.app.all();
    if (this.leftOut) this.screen.message = this.app.trouble("left-out");
    // Once the page is there to show it.
    if (storage.refused) setTimeout(() => storage.refused && this.#tellTrouble(storage.refused));
    if (!reads) setTimeout(() => this.#tellTrouble("late"));
    /** @type {AudioContext | null} */
    this.context = null;
    /** What sounds from now to the horizon, and a little of what was passed. @type {AlongView} */
    this.plan = NOTHING;
    /** The riff's notes as they are in the bar that sounds, while that is followed. @type {TokenView[] | null} */
    this.followed = null;
    /** The part of the page that is shown, by its name (views/tabs.js sets it). */
    this.place = "riff";
    this.playing = false;
    /** When presses were made, on the audio clock. */
    this.clock = new PressClock();
    /** The Practice screen as it was last told. @type {PracticeView | null} */
    this.practice = null;
    /** The microphone that is on, by its name; none where it is off. */
    this.hearing = "";
    /** What is played in, and what was. @type {TakeView} */
    this.taking = this.app.takeView();
    /** The bar in which playing was paused, from 0; −1 where nothing waits. */
    this.pausedBar = -1;
    /** What plays, or was played last. @type {Heard} */
    this.what = Heard.Form;
    /** @type {Set<string>} */
    this.unsaved = new Set();
    /** @type {Set<string>} */
    this.forgotten = new Set(this.leftOut ? [] : this.app.orphans());
    this.writing = false;
    /** Whether what was played freely is heard again. */
    this.listensAgain = false;
    /** Ticks since what is being played was written last. */
    this.ticks = 0;
    /** Whether the browser was asked to keep this for good. */
    this.asked = false;
    this.ticker = startWorker("workers/ticker.js");
    this.ticker.addEventListener("message", () => this.#tick());
    /** @type {Worker | null} */
    this.sampler = null;
    /** Finds the gain that the music needs. @type {Worker | null} */
    this.leveller = null;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.levelSoon = undefined;
    this.others = "BroadcastChannel" in globalThis ? new BroadcastChannel("riffloom") : null;
    this.others?.addEventListener("message", () => this.dispatchEvent(new CustomEvent("elsewhere")));
    storage.addEventListener("back", (event) => this.#storageIsBack(/** @type {CustomEvent} */ (event).detail));
    storage.addEventListener("lost", () =>
      setTimeout(() => this.storage.refused && this.#tellSaved(this.storage.refused), LOST_FOR),
    );
    const keepAll = () => {
      this.#keepPlayed();
      this.#write();
      keepWayBack(this.app);
    };
    addEventListener("pagehide", keepAll);
    document.addEventListener("visibilitychange", () => document.hidden && keepAll());
    for (const type of ["click", "keydown", "pointerup"]) {
      document.addEventListener(type, () => this.wake(), { capture: true });
    }
    // A call, another program or a headphone that was pulled out may have put sound to sleep: it is woken as soon as
    // the page is seen again or the devices have changed, and else by the next touch.
    document.addEventListener("visibilitychange", () => document.hidden || this.#wakeAgain());
    navigator.mediaDevices?.addEventListener?.("devicechange", () => this.#wakeAgain());
  }

  /**
   * The core with these records. Should one of its calls break off, it is started anew.
   * @param {RecordView[]} records
   * @returns {App}
   */
  #coreWith(records) {
    const turn = ++this.#turn;
    return new Proxy(this.#built(records), {
      get: (core, name) => {
        const member = Reflect.get(core, name);
        if (typeof member !== "function") return member;
        return (/** @type {unknown[]} */ ...given) => {
          if (turn !== this.#turn) gone();
          try {
            return member.apply(core, given);
          } catch (error) {
            if (isBreak(error)) this.#startAnew();
            throw error;
          }
        };
      },
    });
  }

  /**
   * The core with these records. One on which it breaks is left where it is; no reader should, and none may keep the
   * page from opening.
   * @param {RecordView[]} records
   */
  #built(records) {
    try {
      return new App(records, freshId());
    } catch (error) {
      console.error("A record breaks the core:", error);
      freshCore();
    }
    const borne = bearable(records);
    this.leftOut = borne.length < records.length;
    return new App(borne, freshId());
  }

  /** Starts the core anew with all that it held, and says so; at once where the room that reads records is open. */
  async #startAnew() {
    this.#silence();
    const now = performance.now();
    this.#breaks = [...this.#breaks.filter((time) => now - time < BREAKS_WITHIN), now];
    const records = this.#rescued();
    this.app = AWAY;
    this.#turn++;
    freshCore();
    const isOver = this.#breaks.length > MOST_BREAKS;
    if (isOver || !isOpen("files")) this.#writeLast(records);
    if (isOver || (!isOpen("files") && !(await comes("files")))) {
      this.dispatchEvent(new CustomEvent("broken"));
      return;
    }
    this.app = this.#coreWith(records);
    this.app.setToday(today(), this.stamp);
    this.app.apply(written({ do: "go", place: this.place }));
    this.app.rest();
    this.#take(this.app.all());
    this.screen.message = this.app.trouble("restarted");
    [this.practice, this.plan, this.followed] = [null, NOTHING, null];
    this.dispatchEvent(new CustomEvent("anew"));
    this.#tick();
    this.tellPractice();
    setTimeout(() => this.#write(), SOON);
  }

  /**
   * What the core held when its last command was done; what is not written yet of it will be.
   * @returns {RecordView[]}
   */
  #rescued() {
    const known = this.storage.lastKnown();
    /** @type {RecordView[]} */
    let held = [];
    try {
      held = rescue();
    } catch (error) {
      console.error(error);
      return known.filter(({ id }) => !this.forgotten.has(id));
    }
    const plain = (/** @type {string | undefined} */ text) => text?.replace(/"revision":\d+,/, "");
    const texts = new Map(known.map(({ id, text }) => [id, plain(text)]));
    for (const { id, text } of held) if (id !== ORDER && texts.get(id) !== plain(text)) this.unsaved.add(id);
    return [...held, ...known.filter(({ id }) => isPast(id) || /^(free|class|versions)-/.test(id))];
  }

  /**
   * Writes what is not written yet without asking the core, where nobody else has changed it.
   * @param {RecordView[]} records
   */
  #writeLast(records) {
    const last = records.filter(({ id }) => this.unsaved.has(id));
    const own = (
      /** @type {RecordView} */ write,
      /** @type {string | undefined} */ kept,
      /** @type {boolean} */ isKnown,
    ) => (isKnown || kept === undefined ? { write } : {});
    if (last.length > 0) this.storage.write(last, [], own, () => false).catch(() => {});
  }

  /** Lets what sounds fade, and closes the way out. */
  #silence() {
    const { context } = this;
    clearTimeout(this.levelSoon);
    this.leveller?.terminate();
    this.context = null;
    if (!context) return;
    this.#out?.gain.setTargetAtTime(0, context.currentTime, FADE / 4000);
    setTimeout(() => context.close().catch(() => {}), 2 * FADE);
  }

  /**
   * Does one thing; what must be drawn at once goes to the listeners, and `rest` has the other parts.
   * @param {Command} command
   */
  do(command) {
    /** @type {Changed} */
    const changed = this.#take(this.app.apply(written(command)));
    if (changed.room) this.#whenOpen(/** @type {import("./rooms.js").Room} */ (changed.room), command);
    this.#keep(changed);
    this.dispatchEvent(new CustomEvent("changed", { detail: changed }));
    if (OF_FREE.has(command.do)) this.#keepPlayed();
    this.dispatchEvent(new CustomEvent("did", { detail: command }));
    if ((changed.sounds && (this.playing || this.pausedBar >= 0)) || command.do === "set-practice") this.#tick();
    if (changed.sounds && this.playing) this.#level(LEVEL_AFTER);
    this.tellPractice();
    if (this.taking.taken || this.taking.naming || OF_TAKING.has(command.do)) this.#tellTaking();
    return changed;
  }

  /**
   * Does a command whose room has not come yet, as soon as it has.
   * @param {import("./rooms.js").Room} room
   * @param {Command} command
   */
  async #whenOpen(room, command) {
    if (await this.opened(room)) this.do(command);
  }

  /**
   * Opens rooms of the core, and says so where one does not come. Gives whether they are open.
   * @param {...import("./rooms.js").Room} rooms
   */
  async opened(...rooms) {
    try {
      await Promise.all(rooms.map(openRoom));
      return true;
    } catch (error) {
      console.info("A part of the page did not come:", error);
      this.dispatchEvent(new CustomEvent("missing"));
      return false;
    }
  }

  /**
   * Takes what the core gave otherwise than for a command.
   * @param {Changed} given
   */
  takeIn(given) {
    const changed = this.#take(given);
    this.#keep(changed);
    this.#keepPractised();
    this.#keepPlayed();
    this.dispatchEvent(new CustomEvent("changed", { detail: changed }));
    if (changed.sounds && this.playing) this.#tick();
  }

  /**
   * The parts of the screen that changed and are not drawn yet.
   * @returns {Changed}
   */
  rest() {
    // What is new may need sounds that are not made yet.
    this.#askForSamples();
    // Not "kept" while it waits to be written.
    if (this.storage.lasting && this.unsaved.size + this.forgotten.size > 0) this.#tellSaved("saving");
    return this.#take(this.app.rest());
  }

  /** @param {Changed} changed */
  #take(changed) {
    Object.assign(this.screen, changed);
    return changed;
  }

  /** Whether keys write into the strip. */
  get writingOn() {
    return this.#writingOn;
  }

  /** @param {boolean} on */
  setWriting(on) {
    this.#writingOn = on;
    this.dispatchEvent(new CustomEvent("writing"));
  }

  /**
   * Writes a note where the cursor is, while writing is on and nothing plays.
   * @param {number} midi
   * @param {boolean} [accent] whether the key was struck hard
   */
  enter(midi, accent = false) {
    const waits = this.playing || this.screen.vary?.on;
    if (!(this.#writingOn || this.taking.naming) || waits || this.place !== "riff") return;
    this.do(accent ? { do: "enter-accented", midi } : { do: "enter-note", midi });
  }

  /**
   * Sounds a note for a moment.
   * @param {number} midi
   */
  sound(midi) {
    this.keyDown(midi);
    setTimeout(() => this.keyUp(midi), 400);
  }

  /**
   * Plays, from the beginning.
   * @param {Heard} what
   */
  play(what) {
    this.#start(what, () => this.app.play(what));
  }

  /** Plays the chosen riff of the chorus once, alone; in its place while the chorus plays. */
  hearPlacement() {
    if (!this.playing || this.alone) this.play(Heard.Placement);
  }

  /** Whether a riff plays once, alone, or played last. */
  get alone() {
    return this.what === Heard.Riff || this.what === Heard.Placement;
  }

  /** What stands after # in a link to the chorus; empty where it is too long for a link. */
  chorusLink() {
    return this.app.shareChorus();
  }

  /**
   * Plays the form from this bar on: at once where it plays already, else after the count-in.
   * @param {number} bar from 0
   */
  playFrom(bar) {
    // A practice run has bars of its own.
    if (this.place === "practice") return;
    const stays = this.playing && (this.what === Heard.Form || this.what === Heard.Band);
    this.#playFrom(bar, stays ? this.what : this.place === "play" ? Heard.Band : Heard.Form);
  }

  /**
   * Goes through the band's form from this bar on, after the count-in and without a sound: keys sound.
   * @param {number} bar from 0
   */
  followFrom(bar) {
    this.#start(Heard.Band, () => this.app.followFrom(bar));
  }

  /**
   * @param {number} bar from 0
   * @param {Heard} what
   */
  #playFrom(bar, what) {
    this.#start(what, () => this.app.playFrom(bar, what));
  }

  /**
   * @param {Heard} what
   * @param {() => void} play has the core play it
   */
  async #start(what, play) {
    this.#takeDown();
    this.wake();
    if (IN_CHORUS.includes(what) && !isOpen("chorus") && !(await this.opened("chorus"))) return;
    this.what = what;
    play();
    this.#tick();
    this.#level();
    this.#tellNoSound();
  }

  /** Stops what plays over the form, to go on later in the same bar. */
  pause() {
    this.#takeDown();
    this.app.pause();
    this.#tick();
  }

  /** Goes on where it was paused. */
  resume() {
    this.#start(this.what, () => this.app.resume());
  }

  stop() {
    this.app.stop();
    this.#keepPractised();
    this.#keepPlayed();
    this.#takeDown();
    this.#tick();
    this.tellPractice();
  }

  /** Counts a bar in; what is played from then on becomes a riff. */
  playIn() {
    this.app.takeNothing();
    this.#begin(() => {
      this.app.playIn();
      this.#tellTaking();
    });
    this.#level();
  }

  /** Stops playing in, and nothing of it stays. */
  playNothing() {
    this.app.takeNothing();
    this.#tellTaking();
    this.stop();
  }

  /**
   * Plays what was played in as it was played.
   * @param {boolean} withRiff
   */
  hearTake(withRiff) {
    this.#begin(() => this.app.hearTake(withRiff));
  }

  /**
   * Has the core play something that is not on the desk.
   * @param {() => void} play
   */
  hear(play) {
    this.#begin(play);
    this.#level();
  }

  /**
   * Does one thing in the class, and gives how it stands then.
   * @param {import("./command.js").Spoken<import("./pkg/riffloom.js").ClassCommand>} command
   * @returns {import("./pkg/riffloom.js").ClassView | undefined}
   */
  inClass(command) {
    let view;
    const act = () => {
      view = this.app.class(written(/** @type {any} */ (command)));
      if (view) this.#keep(view);
    };
    if (command.do === "play") this.#begin(act);
    else act();
    return view;
  }

  /** Plays the free chorus that is looked at as it was played. */
  hearFree() {
    this.listensAgain = true;
    this.#begin(() => this.app.hearFree());
  }

  /** What was played in up to now is written down: it is not lost, whatever ends it. */
  #takeDown() {
    if (!this.taking.listening) return;
    // Not twice, whatever the command calls.
    this.taking = { ...this.taking, listening: false };
    this.do({ do: "take-down", id: freshId() });
  }

  #tellTaking() {
    this.taking = this.app.takeView();
    this.dispatchEvent(new CustomEvent("taking"));
  }

  /** Begins to practise as it was set. */
  async practise() {
    this.wake();
    if (!isOpen("practice") && !(await this.opened("practice"))) return;
    this.#begin(() => this.app.practise());
    this.#level();
  }

  /** Plays clicks to tap along to. */
  tapAlong() {
    this.#begin(() => this.app.tapAlong());
  }

  /**
   * Plays what was played the last time through.
   * @param {boolean} withRiff
   */
  hearPass(withRiff) {
    this.#begin(() => this.app.hearPass(withRiff));
  }

  /**
   * A person did something at a moment: pressed a key, or tapped (a note below 0).
   * @param {number} midi
   * @param {number} timeStamp of the event, in milliseconds
   * @param {number} [velocity] 1 to 127; 0 where that is not known
   */
  heard(midi, timeStamp, velocity = 0) {
    if (this.context) this.heardAt(midi, this.clock.audioTime(this.context, timeStamp), velocity);
  }

  /**
   * The same, by the audio clock as it is heard, in seconds.
   * @param {number} midi
   * @param {number} time
   * @param {number} velocity
   * @param {number} [above] how far above that note, in cents
   */
  heardAt(midi, time, velocity, above = 0) {
    if (this.taking.listening) this.app.takeHeard(time, midi, velocity);
    if (!this.playing) return;
    const { tab } = document.body.dataset;
    if (tab === "play") this.app.freeDown(time, midi);
    if (tab === "practice") this.app.heard(time, midi, velocity, above);
  }

  /**
   * A person says which bar of the form the band is in.
   * @param {number} bar index from 0
   * @param {number} timeStamp of the event, in milliseconds
   */
  guess(bar, timeStamp) {
    if (this.context && this.playing) this.app.guess(bar, this.clock.audioTime(this.context, timeStamp));
    this.tellPractice();
  }

  /** Tells the Practice screen where it is open and has changed. */
  tellPractice() {
    if (this.place !== "practice") return;
    this.#told(this.app.practiceView());
  }

  /** @param {PracticeView | undefined} view */
  #told(view) {
    if (!view) return;
    this.practice = view;
    this.dispatchEvent(new CustomEvent("practice", { detail: view }));
  }

  /** @param {() => void} play */
  #begin(play) {
    this.#takeDown();
    this.app.freeStamp(Date.now());
    this.wake();
    this.what = Heard.Form;
    play();
    this.#tick();
    this.tellPractice();
    this.#tellNoSound();
  }

  /** Says so where the browser gives no way to sound. */
  #tellNoSound() {
    if (!this.context) this.#tellTrouble("no-sound");
  }

  /** @param {string} what */
  #tellTrouble(what) {
    this.dispatchEvent(new CustomEvent("trouble", { detail: this.app.trouble(what) }));
  }

  /**
   * What the panel "Who plays" shows; the room "band" must be open.
   * @returns {BandView}
   */
  band() {
    return this.app.band();
  }

  /**
   * @param {number} midi
   * @param {number} [velocity] how hard, 1 to 127; 0 for an ordinary stroke
   */
  keyDown(midi, velocity = 0) {
    this.wake();
    this.app.keyDown(midi, velocity);
  }

  /**
   * @param {number} midi
   * @param {number} [timeStamp] of the event, in milliseconds
   */
  keyUp(midi, timeStamp = performance.now()) {
    this.app.keyUp(midi);
    if (this.context) this.letGoAt(midi, this.clock.audioTime(this.context, timeStamp));
  }

  /**
   * A note ended, by the audio clock as it is heard, in seconds.
   * @param {number} midi
   * @param {number} time
   */
  letGoAt(midi, time) {
    if (this.taking.listening) this.app.takeUp(time, midi);
    if (!this.playing) return;
    const { tab } = document.body.dataset;
    if (tab === "practice") this.app.drillUp(time, midi);
    if (tab === "play") this.app.freeUp(time, midi);
  }

  allKeysUp() {
    this.app.allKeysUp();
  }

  /** What stands after # in a link to the riff on the desk. */
  link() {
    return this.app.shareLink();
  }

  /** What the loudspeaker gives out now, in seconds on the audio clock. */
  heardNow() {
    if (!this.context) return 0;
    const latency = this.context.outputLatency;
    return this.context.currentTime - (latency > 0 && latency < 0.5 ? latency : 0.04);
  }

  /**
   * Where playing stands now as it is heard, or null. No call into the core: safe for every frame.
   * @returns {Position | null}
   */
  position() {
    if (!this.playing || !this.context) return null;
    const heard = this.heardNow();
    const point = this.plan.positions.findLast((position) => position.time <= heard);
    if (!point) return null;
    const fraction = Math.min(Math.max(point.fraction + (heard - point.time) * point.speed, 0), 0.9999);
    return {
      bar: point.bar,
      fraction,
      beat: Math.floor(fraction * point.beats),
      beats: point.beats,
      counting: point.bar < 0,
    };
  }

  /** Makes sound possible: call it from every touch; browsers allow sound only then. */
  wake() {
    if (!this.context || this.context.state === "closed") this.#startAudio();
    const { context } = this;
    if (context && context.state !== "running") {
      context.resume().then(
        () => this.#seeThatItRuns(context),
        () => this.#tellSound(),
      );
    }
  }

  /**
   * Some devices say that sound runs and it stands still: then a new context is made.
   * @param {AudioContext} context
   */
  #seeThatItRuns(context) {
    this.#tellSound();
    const { currentTime } = context;
    setTimeout(() => {
      if (context !== this.context || context.state !== "running" || context.currentTime > currentTime) return;
      // What played goes on in the new one, from the bar in which the old one stood still.
      this.app.pause();
      const bar = this.app.pausedBar();
      this.context = null;
      context.close().catch(() => {});
      this.#startAudio();
      if (bar !== undefined) this.#playFrom(bar, this.what);
      else this.#tick();
    }, STANDSTILL);
  }

  /** Wakes a sound that was awake before: an audio context is never made here. */
  #wakeAgain() {
    if (this.context && this.context.state !== "closed" && this.playing) this.wake();
  }

  #startAudio() {
    try {
      this.context = new AudioContext({ latencyHint: "interactive" });
      this.context.addEventListener("statechange", () => this.#tellSound());
      this.app.startAudio(this.context);
      this.#out = this.app.output();
      this.sampler ??= this.#startSampler();
      this.#askForSamples();
    } catch (error) {
      console.info("No sound:", error);
      this.context = null;
    }
  }

  #startSampler() {
    const sampler = startWorker("workers/sampler.js");
    sampler.addEventListener("message", ({ data }) => this.app.giveSample(data.code, data.rate, data.frames));
    sampler.postMessage({ core: sentCore(this.core), codes: [], rate: 0 });
    return sampler;
  }

  #askForSamples() {
    const codes = this.app.wantedSamples();
    if (codes.length > 0 && this.context) this.sampler?.postMessage({ codes, rate: this.context.sampleRate });
  }

  /**
   * What a mixer is told, with the tune, the riff and the chorus as they are now.
   * @param {Omit<import("./workers/mixer.js").Job, "records" | "looped" | "building">} job
   * @returns {Promise<import("./workers/mixer.js").Job>}
   */
  async mixingJob(job) {
    const [records, looped] = [this.app.working(), [...this.app.looped(job.what)]];
    /** @type {import("./rooms.js").Room[]} */
    const rooms = IN_CHORUS.includes(job.what) ? ["files", "mixing", "chorus"] : ["files", "mixing"];
    return { ...job, records, looped, building: await building(this.core, rooms) };
  }

  /**
   * Has the loudness of a chorus measured and the gain set to it.
   * @param {number} [wait] milliseconds in which another edit may come: a busy page has other things to do first
   */
  #level(wait = 0) {
    clearTimeout(this.levelSoon);
    this.levelSoon = setTimeout(() => {
      if (!this.context) return;
      const what = this.what === Heard.Placement ? Heard.Riff : this.what;
      // A measurement of what is played no more is given up.
      this.leveller?.terminate();
      const leveller = startWorker("workers/mixer.js");
      leveller.onmessage = ({ data }) => {
        this.app.setProgramme(data.gain);
        leveller.terminate();
      };
      this.leveller = leveller;
      const job = this.mixingJob({ wants: "gain", what, choruses: 1, countIn: 0, rate: this.context.sampleRate });
      // Without it the music plays at its plain level.
      job.then(
        (ready) => leveller.postMessage(ready),
        (error) => console.info("The loudness is not measured:", error),
      );
    }, wait);
  }

  #tellSound() {
    const state = this.context?.state === "running" ? "running" : "asleep";
    this.dispatchEvent(new CustomEvent("sound", { detail: state }));
  }

  #tick() {
    this.app.tick();
    if (this.taking.listening && this.app.takeState() === 2) return this.stop();
    this.ticks = (this.ticks + 1) % TICKS_TO_KEEP;
    if (this.ticks === 0) this.#keepPlayed();
    if (this.context) this.clock.look(this.context);
    if (this.place === "practice") {
      this.app.setToday(today(), this.stamp);
      this.#told(this.app.practiceTick(performance.now() / 1000));
      this.#keepPractised();
    }
    this.#askForSamples();
    const playing = this.app.isPlaying();
    this.#follow(playing ? this.app.along() : NOTHING);
    const pausedBar = this.app.pausedBar() ?? -1;
    if (playing === this.playing && pausedBar === this.pausedBar) return;
    this.pausedBar = pausedBar;
    this.playing = playing;
    if (!playing) this.listensAgain = false;
    this.ticker.postMessage(playing ? TICK : 0);
    this.dispatchEvent(new CustomEvent("playing", { detail: playing }));
  }

  /**
   * Takes the new plan; the last points that were passed stay, since what is heard lags behind what is handed out.
   * @param {AlongView} plan
   */
  #follow({ positions, scenes, riff, notes }) {
    const before = this.plan;
    this.plan = {
      positions: joined(before.positions, positions),
      scenes: joined(before.scenes, scenes),
      riff: joined(before.riff, riff),
      notes,
    };
    this.dispatchEvent(new CustomEvent("planned"));
  }

  /** Keeps the times through that have ended. */
  #keepPractised() {
    const ids = this.app.unkept();
    ids.forEach((id) => this.unsaved.add(id));
    if (ids.length > 0) this.#write();
  }

  /** Keeps what is and was played freely, also while it is played: a page may go at any moment. */
  #keepPlayed() {
    const [ids, gone] = [this.app.freeUnwritten(), this.app.freeGone()];
    for (const id of ids) this.unsaved.add(id);
    for (const id of gone) this.forgotten.add(id);
    if (ids.length + gone.length > 0) this.#write();
  }

  /** @param {{ save: string[], forget: string[] }} changed */
  #keep(changed) {
    for (const id of changed.save) {
      this.unsaved.add(id);
      this.forgotten.delete(id);
    }
    for (const id of changed.forget) {
      this.forgotten.add(id);
      this.unsaved.delete(id);
    }
    // After the frame that shows it; at once where the page may be about to go.
    if (changed.save.length + changed.forget.length > 0) setTimeout(() => this.#write(), SOON);
  }

  /** @param {Saved} state */
  #tellSaved(state) {
    const isTrouble = (/** @type {Saved} */ each) => each !== "saving" && each !== "saved";
    // What is tried again by itself is told when it has worked.
    if (state === "saving" && isTrouble(this.saved)) return;
    const isNew = state !== this.saved;
    this.saved = state;
    this.dispatchEvent(new CustomEvent("saved", { detail: state }));
    if (isNew && isTrouble(state)) this.#tellTrouble(state);
  }

  /**
   * There is a connection to the storage again, or for the first time.
   * @param {string[]} gone the ids of records that are not there any more
   */
  async #storageIsBack(gone) {
    if (this.waitsForRecords) {
      if (this.storage.records.length > 0 && !(await comes("files")))
        return this.#tryLater(() => this.#storageIsBack(gone));
      if (!this.waitsForRecords) return;
      this.waitsForRecords = false;
      /** @type {Changed} */
      const changed = this.#take(this.app.join(this.storage.records));
      this.#keep(changed);
      this.dispatchEvent(new CustomEvent("changed", { detail: changed }));
    }
    for (const id of gone) {
      if (this.app.record(id) === undefined) continue;
      this.unsaved.add(id);
      this.#wasEmptied = true;
    }
    if (this.unsaved.size + this.forgotten.size === 0) this.#tellSaved("saved");
    void this.#write();
  }

  /**
   * Another page changed a riff or a chorus first: this one goes on with its own under another id.
   * @param {import("./storage.js").Aside} aside
   */
  #setAside({ id, text }) {
    /** @type {Changed} */
    const { message, ...changed } = this.#take(this.app.setAside(id, freshId(), text));
    this.unsaved.delete(id);
    for (const each of changed.save) this.unsaved.add(each);
    this.dispatchEvent(new CustomEvent("changed", { detail: changed }));
    // No answer to what was done here, so the next note does not take it away.
    if (message) this.dispatchEvent(new CustomEvent("trouble", { detail: message }));
  }

  /**
   * What becomes of a record on its way to storage.
   * @type {import("./storage.js").Settle}
   */
  #settle(record, kept, isKnown) {
    switch (this.app.fate(record.id, record.text, kept, isKnown)) {
      case undefined:
        throw NEEDS_READING;
      case Fate.Write:
        return { write: record };
      case Fate.Joined:
        return { write: { ...record, text: this.app.record(record.id)?.text ?? record.text } };
      case Fate.Beside:
        return { beside: { ...record, id: this.app.beside(record.id) } };
      case Fate.Aside:
        return { aside: true };
      default:
        return {};
    }
  }

  /** Writes until nothing is left to write; "saved" is told when the transaction is complete. */
  async #write() {
    if (this.writing || this.app === AWAY || this.unsaved.size + this.forgotten.size === 0) return;
    // What is there already comes first.
    if (this.waitsForRecords) return this.#tellSaved(this.storage.refused || "failed");
    this.writing = true;
    clearTimeout(this.#again);
    while (this.unsaved.size + this.forgotten.size > 0) {
      const [ids, forget] = [[...this.unsaved], [...this.forgotten]];
      this.unsaved.clear();
      this.forgotten.clear();
      try {
        if (this.storage.lasting) this.#tellSaved("saving");
        /** @type {RecordView[]} */
        const records = ids.map((id) => this.app.record(id)).filter((record) => record !== undefined);
        const order = { id: ORDER, text: this.app.order(), revision: 0 };
        const asides = await this.storage.write(
          [...records, order],
          forget,
          (...given) => this.#settle(...given),
          (id, isKnown) => this.app.mayGo(id, isKnown),
        );
        for (const aside of asides) this.#setAside(aside);
        // Another page joins what was practised to its own when it writes: it need not be told.
        if (records.some((record) => !isPast(record.id)) || forget.length > 0) this.others?.postMessage("kept");
        if (!this.asked) navigator.storage?.persist?.();
        this.asked = true;
        this.#wait = AGAIN;
        // Not while something newer waits.
        if (this.unsaved.size + this.forgotten.size === 0) this.#tellSaved("saved");
        if (this.#wasEmptied) this.#tellTrouble("emptied");
        this.#wasEmptied = false;
      } catch (error) {
        console.info("Could not save:", error);
        for (const id of ids) if (!this.forgotten.has(id)) this.unsaved.add(id);
        for (const id of forget) if (!this.unsaved.has(id)) this.forgotten.add(id);
        // A core that broke was started anew, and that was told.
        if (isBreak(error)) this.#again = setTimeout(() => this.#write(), SOON);
        else if (error === NEEDS_READING && (await comes("files"))) continue;
        else this.#tellUnsaved(error);
        break;
      }
    }
    this.writing = false;
  }

  /**
   * Nothing could be written: says why, and tries again later; a storage that is back is told of by itself.
   * @param {unknown} error
   */
  #tellUnsaved(error) {
    const isFull = error instanceof DOMException && error.name === "QuotaExceededError";
    this.#tellSaved(isFull ? "full" : this.storage.refused || "failed");
    if (this.storage.lasting) this.#tryLater(() => this.#write());
  }

  /** @param {() => void} act */
  #tryLater(act) {
    this.#again = setTimeout(act, this.#wait);
    this.#wait = Math.min(2 * this.#wait, AGAIN_AT_MOST);
  }
}

/** Where the steps back of this tab wait while the page is loaded again. */
const WAY_BACK = "riffloom way back";

/** @param {App} app */
function keepWayBack(app) {
  try {
    const text = app.wayBack();
    if (text !== undefined) sessionStorage.setItem(WAY_BACK, text);
  } catch {
    // Without it, a step back leads to where the page was loaded.
  }
}

/** @param {App} app */
function takeWayBack(app) {
  try {
    const text = sessionStorage.getItem(WAY_BACK);
    if (text) app.takeWayBack(text);
  } catch {
    // As above.
  }
}

/**
 * New points behind the last ones of the old that come before them.
 * @template {{ time: number }} Point
 * @param {Point[]} old
 * @param {Point[]} points
 */
function joined(old, points) {
  const first = points[0]?.time ?? -Infinity;
  return [...old.filter(({ time }) => time < first).slice(-3), ...points];
}
