// The camera, on only between two presses of its button, and the QR codes that it sees: by the browser where it can, else by
// the core. No picture is kept, and none leaves the page.
import { App } from "./pkg/riffloom.js";
import { openRoom } from "./rooms.js";

/** How long the camera looks between two pictures, in milliseconds. */
const BETWEEN = 200;
/** The longer side of what is looked at, in pixels: enough for a code of 120 letters that fills a third of it. */
const SIDE = 1000;

/** The browser's own reader, where it has one that reads QR codes. @type {Promise<{ detect: (from: any) => Promise<{ rawValue: string }[]> } | undefined> | undefined} */
let reader;

async function ownReader() {
  const Detector = /** @type {any} */ (globalThis).BarcodeDetector;
  try {
    const formats = await Detector?.getSupportedFormats();
    return formats?.includes("qr_code") ? new Detector({ formats: ["qr_code"] }) : undefined;
  } catch {
    return undefined;
  }
}

const canvas = document.createElement("canvas");

/**
 * The texts of the codes in a picture.
 * @param {CanvasImageSource} source
 * @param {number} width
 * @param {number} height
 * @returns {Promise<string[]>}
 */
async function codesIn(source, width, height) {
  reader ??= ownReader();
  const own = await reader;
  if (own) return (await own.detect(source)).map(({ rawValue }) => rawValue);
  await openRoom("scan");
  const scale = Math.min(1, SIDE / Math.max(width, height));
  [canvas.width, canvas.height] = [Math.round(width * scale), Math.round(height * scale)];
  const drawn = canvas.getContext("2d", { willReadFrequently: true });
  if (!drawn || canvas.width === 0 || canvas.height === 0) return [];
  drawn.drawImage(source, 0, 0, canvas.width, canvas.height);
  const { data } = drawn.getImageData(0, 0, canvas.width, canvas.height);
  return App.readCodes(new Uint8Array(data.buffer), canvas.width, canvas.height) ?? [];
}

/**
 * The texts of the codes in a picture file; none where it is no picture that the browser reads.
 * @param {Blob} file
 */
export async function codesInPicture(file) {
  try {
    const picture = await createImageBitmap(file);
    return await codesIn(picture, picture.width, picture.height);
  } catch {
    return [];
  }
}

export class Camera {
  /** @type {MediaStream | undefined} */
  #stream;
  /** Counts the presses, so that what was asked for earlier ends. */
  #turn = 0;

  /**
   * @param {(state: string) => void} tell "on", "off", or the name of what went wrong
   * @param {(code: string) => void} found
   */
  constructor(tell, found) {
    this.tell = tell;
    this.found = found;
    document.addEventListener("visibilitychange", () => document.hidden && this.stop());
  }

  get isOn() {
    return this.#stream !== undefined;
  }

  /** @param {HTMLVideoElement} film where it is shown what the camera sees */
  async start(film) {
    const turn = ++this.#turn;
    /** @type {MediaStream} */
    let stream;
    reader ??= ownReader();
    if (
      !(await reader) &&
      !(await openRoom("scan").then(
        () => true,
        () => false,
      ))
    )
      return this.tell("late");
    try {
      const wanted = { facingMode: "environment", width: { ideal: 1280 }, height: { ideal: 720 } };
      stream = await navigator.mediaDevices.getUserMedia({ video: wanted, audio: false });
    } catch (error) {
      this.tell(error instanceof DOMException ? error.name : "none");
      return;
    }
    // The button was pressed again while the browser asked.
    if (turn !== this.#turn) return stream.getTracks().forEach((track) => track.stop());
    this.#stream = stream;
    // Unplugged, or taken back.
    stream.getVideoTracks().forEach((track) => track.addEventListener("ended", () => this.stop()));
    film.srcObject = stream;
    this.tell("on");
    await film.play().catch(() => {});
    while (turn === this.#turn) {
      if (film.videoWidth > 0)
        for (const code of await codesIn(film, film.videoWidth, film.videoHeight).catch(() => []))
          if (turn === this.#turn) this.found(code);
      await new Promise((done) => setTimeout(done, BETWEEN));
    }
    film.srcObject = null;
  }

  stop() {
    this.#turn++;
    const stream = this.#stream;
    if (!stream) return;
    this.#stream = undefined;
    stream.getTracks().forEach((track) => track.stop());
    this.tell("off");
  }
}
