// Where the page's other files are: beside it, or within it where everything stands in one file.

/** Addresses of what the one file holds, by name; nothing where the page is served. @type {Record<string, string> | undefined} */
const within = /** @type {any} */ (globalThis).riffloomFiles;

/** What of it workers need, as bytes: from a file they can fetch nothing. @type {Record<string, ArrayBuffer> | undefined} */
const bytes = /** @type {any} */ (globalThis).riffloomBytes;

/** The file's own name. */
export const ONE_FILE = "riffloom.html";

/** Whether the page is the one file that needs no server. */
export const isOneFile = within !== undefined;

/**
 * The address of one of the page's files.
 * @param {string} name below the page's own address
 */
export const where = (name) => within?.[name] ?? new URL(name, location.href).href;

/**
 * What a worker is sent to have one of the page's files: `served` where the page is served, else the bytes.
 * @template T
 * @param {string} name
 * @param {T} served
 * @returns {T | ArrayBuffer}
 */
export const forWorker = (name, served) => bytes?.[name] ?? served;

/**
 * Starts one of the page's workers. From a file browsers start no modules, so there each is a plain script.
 * @param {string} name
 */
export const startWorker = (name) => new Worker(where(name), { type: isOneFile ? "classic" : "module" });
