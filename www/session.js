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
import init, { Heard } from "./pkg/riffloom.js";
import { PressClock } from "./clock.js";
import { written } from "./command.js";
import { compiled } from "./core.js";
import { AWAY, Guard } from "./guard.js";
import { freshId } from "./ids.js";
import { Keeper } from "./keeper.js";
import { comes, isOpen, openRoom } from "./rooms.js";
import { IN_CHORUS, Speaker } from "./speaker.js";
import { Storage } from "./storage.js";
import { keepWayBack, takeWayBack } from "./way-back.js";
import { startWorker } from "./where.js";

export { Heard };

/** @typedef {import("./command.js").Command} Command */
/** @typedef {import("./pkg/riffloom.js").Changed} Changed */
/** @typedef {import("./pkg/riffloom.js").AlongView} AlongView */
/** @typedef {import("./pkg/riffloom.js").PracticeView} PracticeView */
/** @typedef {import("./pkg/riffloom.js").TokenView} TokenView */
/** @typedef {import("./pkg/riffloom.js").BandView} BandView */
/** @typedef {import("./pkg/riffloom.js").TakeView} TakeView */
/** @typedef {{ bar: number, fraction: number, beat: number, beats: number, counting: boolean }} Position */

/** What is followed where nothing sounds. @type {AlongView} */
const NOTHING = { positions: [], scenes: [], riff: [], notes: [] };

/** How often the player hands out what sounds next, in milliseconds. */
const TICK = 250;
/** How long after the last edit the loudness is measured anew, in milliseconds. */
const LEVEL_AFTER = 1500;

/** Commands after which what is played in is told anew, also where none was. @type {Set<Command["do"]>} */
const OF_TAKING = new Set(["set-play-in", "take-down", "take-reading", "name-notes", "close-take"]);

/** Commands that begin and end what is played freely. @type {Set<Command["do"]>} */
const OF_FREE = new Set(["begin-free-chorus", "end-free-chorus"]);
/** How many ticks go by from one writing of what is being played to the next. */
const TICKS_TO_KEEP = 8;

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
  #guard = new Guard(() => this.#startAnew());

  /**
   * @param {Storage} storage
   * @param {WebAssembly.Module} core compiled once, for the page and its workers
   * @param {boolean} reads whether the records can be read
   */
  constructor(storage, core, reads) {
    super();
    this.core = core;
    /** Whether this is the very first visit: nothing was kept. */
    this.isFirstVisit = storage.records.length === 0 && storage.refused !== "waiting";
    this.app = this.#guard.coreWith(reads ? storage.records : []);
    this.keeper = new Keeper(this, storage, reads);
    this.speaker = new Speaker(this, core);
    /** Tells this page from others that are open, in what they keep of practising. */
    this.stamp = crypto.getRandomValues(new Uint32Array(1))[0] ?? 0;
    this.app.setToday(today(), this.stamp);
    if (!this.keeper.waitsForRecords) takeWayBack(this.app);
    this.#writingOn = !this.isFirstVisit;
    /** @type {Changed} */
    this.screen = this.app.all();
    if (this.#guard.leftOut) this.screen.message = this.app.trouble("left-out");
    else this.keeper.note({ save: [], forget: this.app.orphans() });
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
    /** Whether what was played freely is heard again. */
    this.listensAgain = false;
    /** Ticks since what is being played was written last. */
    this.ticks = 0;
    this.ticker = startWorker("workers/ticker.js");
    this.ticker.addEventListener("message", () => this.#tick());
    const keepAll = () => {
      this.#keepPlayed();
      this.keeper.write();
      keepWayBack(this.app);
    };
    addEventListener("pagehide", keepAll);
    document.addEventListener("visibilitychange", () => document.hidden && keepAll());
  }

  /** Where sound is made; none before the first touch. */
  get context() {
    return this.speaker.context;
  }

  /** Starts the core anew with all that it held, and says so; at once where the room that reads records is open. */
  async #startAnew() {
    this.speaker.silence();
    const records = this.keeper.rescued();
    this.app = AWAY;
    const goesOn = this.#guard.leave();
    if (!goesOn || !isOpen("files")) this.keeper.writeLast(records);
    if (!goesOn || (!isOpen("files") && !(await comes("files")))) {
      this.dispatchEvent(new CustomEvent("broken"));
      return;
    }
    this.app = this.#guard.coreWith(records);
    this.app.setToday(today(), this.stamp);
    this.app.apply(written({ do: "go", place: this.place }));
    this.app.rest();
    this.take(this.app.all());
    this.screen.message = this.app.trouble("restarted");
    [this.practice, this.plan, this.followed] = [null, NOTHING, null];
    this.dispatchEvent(new CustomEvent("anew"));
    this.#tick();
    this.tellPractice();
    this.keeper.writeSoon();
  }

  /**
   * Does one thing; what must be drawn at once goes to the listeners, and `rest` has the other parts.
   * @param {Command} command
   */
  do(command) {
    /** @type {Changed} */
    const changed = this.take(this.app.apply(written(command)));
    if (changed.room) this.#whenOpen(/** @type {import("./rooms.js").Room} */ (changed.room), command);
    this.keeper.keep(changed);
    this.dispatchEvent(new CustomEvent("changed", { detail: changed }));
    if (OF_FREE.has(command.do)) this.#keepPlayed();
    this.dispatchEvent(new CustomEvent("did", { detail: command }));
    if ((changed.sounds && (this.playing || this.pausedBar >= 0)) || command.do === "set-practice") this.#tick();
    if (changed.sounds && this.playing) this.speaker.level(this.what, LEVEL_AFTER);
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
    const changed = this.take(given);
    this.keeper.keep(changed);
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
    this.speaker.askForSamples();
    this.keeper.tellThatItWaits();
    return this.take(this.app.rest());
  }

  /**
   * Takes over what changed of the screen.
   * @param {Changed} changed
   */
  take(changed) {
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
    this.speaker.level(this.what);
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
    this.speaker.level(this.what);
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
    this.speaker.level(this.what);
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
      if (view) this.keeper.keep(view);
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
    this.speaker.level(this.what);
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
    if (this.place === "play") this.app.freeDown(time, midi);
    if (this.place === "practice") this.app.heard(time, midi, velocity, above);
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
    if (!this.context) this.tellTrouble("no-sound");
  }

  /** @param {string} what */
  tellTrouble(what) {
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
    if (this.place === "practice") this.app.drillUp(time, midi);
    if (this.place === "play") this.app.freeUp(time, midi);
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

  /** Makes sound possible: call it from every touch. */
  wake() {
    this.speaker.wake();
  }

  /**
   * What played goes on in another audio context, from the bar in which the old one stood still.
   * @param {() => void} make has the other one made
   */
  goOnIn(make) {
    this.app.pause();
    const bar = this.app.pausedBar();
    make();
    if (bar !== undefined) this.#playFrom(bar, this.what);
    else this.#tick();
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
    this.speaker.askForSamples();
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
    if (ids.length === 0) return;
    this.keeper.note({ save: ids, forget: [] });
    this.keeper.write();
  }

  /** Keeps what is and was played freely, also while it is played: a page may go at any moment. */
  #keepPlayed() {
    const [save, forget] = [this.app.freeUnwritten(), this.app.freeGone()];
    if (save.length + forget.length === 0) return;
    this.keeper.note({ save, forget });
    this.keeper.write();
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
