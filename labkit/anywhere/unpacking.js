// What the page and its worker both need.

const DIGITS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz!#$%&()*+-;,=>?@^_`{|}~";

/** Bytes from base 85, four to five letters; the first digit says how many zeros fill the end. */
function fromText(digits) {
  const [spare, text] = [Number(digits[0]), digits.slice(1)];
  const value = new Uint8Array(128);
  for (let n = 0; n < 85; n++) value[DIGITS.charCodeAt(n)] = n;
  const made = new DataView(new ArrayBuffer((text.length / 5) * 4));
  for (let n = 0, at = 0; n < text.length; at += 4) {
    let word = 0;
    for (const last = n + 5; n < last; n++) word = word * 85 + value[text.charCodeAt(n)];
    made.setUint32(at, word);
  }
  return new Uint8Array(made.buffer, 0, made.byteLength - spare);
}

/** A piece as it was before it was packed: text where it stands in a page, gzip where it is. */
async function bytesOf(piece) {
  const raw = typeof piece === "string" ? fromText(piece) : new Uint8Array(piece);
  if (raw[0] !== 0x1f || raw[1] !== 0x8b) return raw; // a host may have unpacked it on the way
  const plain = new Blob([raw]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Uint8Array(await new Response(plain).arrayBuffer());
}
