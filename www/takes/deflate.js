// Deflate, which browsers have.

/**
 * Bytes through a stream that packs or unpacks them.
 * @param {CompressionStream | DecompressionStream} stream
 * @param {BlobPart} bytes
 * @returns {Promise<ArrayBuffer>}
 */
export function through(stream, bytes) {
  return new Response(new Blob([bytes]).stream().pipeThrough(stream)).arrayBuffer();
}
