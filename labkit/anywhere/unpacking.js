// What the page and its worker both need.

/** A piece as it was before it was packed: base64 where it stands in a page, gzip where it is. */
async function bytesOf(piece) {
  const raw =
    typeof piece === "string"
      ? Uint8Array.from(atob(piece), (letter) => letter.charCodeAt(0))
      : new Uint8Array(piece);
  if (raw[0] !== 0x1f || raw[1] !== 0x8b) return raw; // a host may have unpacked it on the way
  const plain = new Blob([raw]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Uint8Array(await new Response(plain).arrayBuffer());
}
