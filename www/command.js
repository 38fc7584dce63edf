// How a command is written down for the core.

/**
 * A command as views say it: `{ do: "set-key", key: "Bb" }`, each with the fields that the core declares for it.
 * @typedef {Spoken<import("./pkg/riffloom.js").Command>} Command
 */
/**
 * @template C
 * @typedef {C extends string ? { do: C } : { [Name in keyof C]: { do: Name } & C[Name] }[keyof C]} Spoken
 */

/**
 * The same as the core reads it: its name, or its name with its fields.
 * @param {Command} command
 * @returns {import("./pkg/riffloom.js").Command}
 */
export function written({ do: name, ...fields }) {
  const hasFields = Object.keys(fields).length > 0;
  return /** @type {import("./pkg/riffloom.js").Command} */ (hasFields ? { [name]: fields } : name);
}
