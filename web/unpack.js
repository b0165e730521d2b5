'use strict';
/**
 * Unpacks LZMA: a header of 13 bytes, then the range-coded stream, as the LZMA specification (I. Pavlov, 2015,
 * public domain, part of the LZMA SDK) describes; names here are those of its reference decoder. The browser's own
 * gzip would leave the page a fifth heavier.
 *
 * The builder packs and so knows what comes: the size stands in the header, an end mark is not used.
 * @param {Uint8Array} packed
 * @returns {Uint8Array}
 */
function unpackLzma(packed) {
  const header = new DataView(packed.buffer, packed.byteOffset);
  const lc = packed[0] % 9;
  const lp = Math.floor(packed[0] / 9) % 5;
  const pb = Math.floor(packed[0] / 45);
  const out = new Uint8Array(header.getUint32(5, true));

  // One run of probabilities for all models; `model` hands out the places of each.
  let models = 0;
  const model = (count) => { models += count; return models - count; };
  const lengthModel = () => ({ choice: model(2), low: model(16 * 8), middle: model(16 * 8), high: model(256) });
  const isMatch = model(12 * 16);
  const isRep = model(12);
  const isRepG0 = model(12);
  const isRepG1 = model(12);
  const isRepG2 = model(12);
  const isRep0Long = model(12 * 16);
  const posSlot = model(4 * 64);
  const posDecoders = model(128);
  const align = model(16);
  const matchLength = lengthModel();
  const repLength = lengthModel();
  const literals = model(0x300 << (lc + lp));
  const probabilities = new Uint16Array(models).fill(1024);

  // The range decoder; the stream's first byte is always 0. Range and code live in an array of 32-bit numbers:
  // as plain variables they would be allocated anew with every bit.
  let at = 14;
  const RANGE = 0;
  const CODE = 1;
  const coder = new Uint32Array([0xffffffff, header.getUint32(14, false)]);
  at += 4;
  const normalize = () => {
    if (coder[RANGE] < 0x1000000) {
      coder[RANGE] <<= 8;
      coder[CODE] = coder[CODE] << 8 | packed[at];
      at += 1;
    }
  };
  const bit = (index) => {
    const probability = probabilities[index];
    const bound = (coder[RANGE] >>> 11) * probability;
    if (coder[CODE] < bound) {
      coder[RANGE] = bound;
      probabilities[index] = probability + ((2048 - probability) >> 5);
      normalize();
      return 0;
    }
    coder[RANGE] -= bound;
    coder[CODE] -= bound;
    probabilities[index] = probability - (probability >> 5);
    normalize();
    return 1;
  };
  const directBits = (count) => {
    let value = 0;
    for (let i = 0; i < count; i += 1) {
      coder[RANGE] >>>= 1;
      const one = coder[CODE] >= coder[RANGE] ? 1 : 0;
      if (one) coder[CODE] -= coder[RANGE];
      value = value * 2 + one;
      normalize();
    }
    return value;
  };
  const tree = (base, bits) => {
    let node = 1;
    for (let i = 0; i < bits; i += 1) node = node * 2 + bit(base + node);
    return node - (1 << bits);
  };
  const reverseTree = (base, bits) => {
    let node = 1;
    let value = 0;
    for (let i = 0; i < bits; i += 1) {
      const one = bit(base + node);
      node = node * 2 + one;
      value += one << i;
    }
    return value;
  };
  const length = (lengths, posState) => {
    if (bit(lengths.choice) === 0) return 2 + tree(lengths.low + posState * 8, 3);
    if (bit(lengths.choice + 1) === 0) return 10 + tree(lengths.middle + posState * 8, 3);
    return 18 + tree(lengths.high, 8);
  };
  const distance = (matched) => {
    const slot = tree(posSlot + Math.min(matched - 2, 3) * 64, 6);
    if (slot < 4) return slot;
    const low = (slot >> 1) - 1;
    const start = (2 + (slot & 1)) * 2 ** low;
    if (slot < 14) return start + reverseTree(posDecoders + start - slot, low);
    return start + directBits(low - 4) * 16 + reverseTree(align, 4);
  };

  let state = 0;
  let rep0 = 0;
  let rep1 = 0;
  let rep2 = 0;
  let rep3 = 0;
  let pos = 0;

  const literal = () => {
    const before = pos > 0 ? out[pos - 1] : 0;
    const base = literals + 0x300 * (((pos & ((1 << lp) - 1)) << lc) + (before >> (8 - lc)));
    let symbol = 1;
    if (state >= 7) {
      // after a match the byte that would have gone on is a hint, until the first bit that differs from it
      let hint = out[pos - rep0 - 1];
      let same = true;
      while (same && symbol < 0x100) {
        const expected = hint >> 7 & 1;
        hint <<= 1;
        const found = bit(base + ((1 + expected) << 8) + symbol);
        symbol = symbol * 2 + found;
        same = found === expected;
      }
    }
    while (symbol < 0x100) symbol = symbol * 2 + bit(base + symbol);
    out[pos++] = symbol & 0xff;
    state = state < 4 ? 0 : state - (state < 10 ? 3 : 6);
  };

  /** One of the last four distances again: it comes to the front. */
  const recall = () => {
    if (bit(isRepG1 + state) === 0) {
      [rep0, rep1] = [rep1, rep0];
    } else if (bit(isRepG2 + state) === 0) {
      [rep0, rep1, rep2] = [rep2, rep0, rep1];
    } else {
      [rep0, rep1, rep2, rep3] = [rep3, rep0, rep1, rep2];
    }
  };

  while (pos < out.length) {
    const posState = pos & ((1 << pb) - 1);
    if (bit(isMatch + state * 16 + posState) === 0) {
      literal();
      continue;
    }
    let count;
    if (bit(isRep + state) === 0) {
      [rep1, rep2, rep3] = [rep0, rep1, rep2];
      count = length(matchLength, posState);
      state = state < 7 ? 7 : 10;
      rep0 = distance(count);
    } else if (bit(isRepG0 + state) === 1) {
      recall();
      count = length(repLength, posState);
      state = state < 7 ? 8 : 11;
    } else if (bit(isRep0Long + state * 16 + posState) === 1) {
      count = length(repLength, posState);
      state = state < 7 ? 8 : 11;
    } else {
      count = 1;
      state = state < 7 ? 9 : 11;
    }
    for (const end = Math.min(pos + count, out.length); pos < end; pos += 1) out[pos] = out[pos - rep0 - 1];
  }
  if (at > packed.length) throw new Error('the packed data end early');
  return out;
}

/**
 * The bytes of a block of text.
 * @param {string} text in base64
 * @returns {Uint8Array}
 */
function fromText(text) {
  // browsers have the first since 2023 to 2025
  return Uint8Array.fromBase64?.(text) ?? Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
}

/**
 * What unpacks modules with the unpacker that was compiled for it (`web/guess`).
 * @param {string} unpacker in base64, packed with LZMA
 * @returns {(packed: string, half?: number) => Uint8Array} the module of its packed form in base64, or its first half (1)
 *   or its second (2)
 */
function unpackerOf(unpacker) {
  const compiled = new WebAssembly.Module(unpackLzma(fromText(unpacker)));
  return (text, half) => {
    const { memory, packed, module, unpack } = new WebAssembly.Instance(compiled).exports;
    const bytes = fromText(text);
    new Uint8Array(memory.buffer).set(bytes, packed());
    const end = unpack(bytes.length, half);
    if (end === 0) throw new Error('the packed part of the page is damaged');
    // where the second half begins stands before the packed module
    const from = half === 2 ? new DataView(bytes.buffer).getUint32(16, true) : 0;
    return new Uint8Array(memory.buffer, module() + from, end - from);
  };
}

/**
 * Joins a table that was packed column after column: six groups of columns, each with a line for every row, the last two
 * of which come first in a row.
 * @param {Uint8Array} module in which the table begins at byte 12
 * @returns {Uint8Array}
 */
function joinColumns(module) {
  const lines = new TextDecoder().decode(module.subarray(12)).split('\n');
  const rows = (lines.length - 1) / 6;
  let text = '';
  for (let row = 0; row < rows; row += 1) {
    text += `${[4, 5, 0, 1, 2, 3].map((group) => lines[group * rows + row])}\n`;
  }
  return new TextEncoder().encode(text);
}
