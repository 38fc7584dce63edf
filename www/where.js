// Where the page's other files are: beside it, or within it where everything stands in one file.

/** Addresses of what the one file holds, by name; nothing where the page is served. @type {Record<string, string> | undefined} */
const within = /** @type {any} */ (globalThis).riffloomFiles;

/** The file's own name. */
export const ONE_FILE = "riffloom.html";

/** Whether the page is the one file that needs no server. */
export const isOneFile = within !== undefined;

/**
 * The address of one of the page's files.
 * @param {string} name below the page's own address
 */
export const where = (name) => within?.[name] ?? new URL(name, location.href).href;
