// Name tags for riffs.

/** A riff id: 16 hexadecimal digits at random. */
export function freshId() {
  const words = crypto.getRandomValues(new Uint32Array(2));
  return Array.from(words, (word) => word.toString(16).padStart(8, "0")).join("");
}
