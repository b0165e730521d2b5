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
 * Joins a wasm module that was packed in streams, as `web/builder/src/streams.rs` splits it: instructions apart from
 * their operands, operands apart by kind. The order of the streams and which instruction has which operands is said there.
 * @param {Uint8Array} packed
 * @returns {Uint8Array}
 */
function joinStreams(packed) {
  const STREAMS = 20;
  const [BEFORE, AFTER, HEADS, CODES, CALL, BRANCH, BLOCK, TABLE, ALIGN, GET, SET, TEE, GLOBAL, OFFSET, I32, I64, F64, F32,
    INDIRECT, OTHER] = Array(STREAMS).keys();
  const header = new DataView(packed.buffer, packed.byteOffset);
  const word = (index) => header.getUint32(4 * index, true);
  const place = [];
  let next = 4 * (STREAMS + 2);
  for (let stream = 0; stream < STREAMS; stream += 1) {
    place.push(next);
    next += word(stream + 2);
  }

  const operands = Array(256).fill([]);
  const set = (from, to, ...streams) => operands.fill(streams, from, to + 1);
  set(0x02, 0x04, BLOCK);
  set(0x0c, 0x0d, BRANCH);
  set(0x10, 0x10, CALL);
  set(0x11, 0x11, INDIRECT, INDIRECT);
  set(0x20, 0x20, GET);
  set(0x21, 0x21, SET);
  set(0x22, 0x22, TEE);
  set(0x23, 0x26, GLOBAL);
  set(0x28, 0x3e, ALIGN, OFFSET);
  set(0x3f, 0x40, OTHER);
  set(0xd0, 0xd0, OTHER);
  set(0xd2, 0xd2, OTHER);
  set(0x41, 0x41, I32);
  set(0x42, 0x42, I64);

  const module = new Uint8Array(word(1));
  let to = 0;
  const copy = (stream, count) => {
    for (const end = to + count; to < end; to += 1) module[to] = packed[place[stream]++];
  };
  /** A number of seven bits a byte; gives its value. */
  const number = (stream) => {
    let value = 0;
    let shift = 0;
    let byte;
    do {
      byte = packed[place[stream]++];
      module[to++] = byte;
      value |= (byte & 0x7f) << shift;
      shift += 7;
    } while (byte >= 0x80);
    return value;
  };
  const joinFunction = () => {
    for (let kinds = number(HEADS); kinds > 0; kinds -= 1) {
      number(HEADS);
      copy(HEADS, 1);
    }
    for (let depth = 1; depth > 0;) {
      const code = packed[place[CODES]];
      copy(CODES, 1);
      if (code === 0x0b) depth -= 1;
      if (code >= 0x02 && code <= 0x04) depth += 1;
      if (code === 0x0e) {
        for (let labels = number(TABLE); labels >= 0; labels -= 1) number(TABLE);
      } else if (code === 0x43) {
        copy(F32, 4);
      } else if (code === 0x44) {
        copy(F64, 8);
      } else if (code === 0xfc) {
        const second = packed[place[CODES]];
        copy(CODES, 1);
        const numbers = second < 8 ? 0 : [2, 1, 2, 1, 2, 1, 2, 1, 1, 1][second - 8];
        for (let n = 0; n < numbers; n += 1) number(OTHER);
      } else {
        for (const stream of operands[code]) number(stream);
      }
    }
  };

  copy(BEFORE, word(BEFORE + 2));
  for (let left = word(0); left > 0; left -= 1) {
    // the size stands before the function and is known after it
    const start = to;
    joinFunction();
    const size = [];
    for (let rest = to - start; ; rest >>= 7) {
      size.push(rest & 0x7f | (rest > 0x7f ? 0x80 : 0));
      if (rest <= 0x7f) break;
    }
    module.copyWithin(start + size.length, start, to);
    module.set(size, start);
    to += size.length;
  }
  copy(AFTER, word(AFTER + 2));
  return module;
}

/**
 * Joins a table that was packed column after column: groups of columns, each with a line for every row.
 * @param {Uint8Array} bytes
 * @param {number} groups
 * @returns {Uint8Array}
 */
function joinColumns(bytes, groups) {
  const lines = new TextDecoder().decode(bytes).split('\n');
  const rows = (lines.length - 1) / groups;
  let text = '';
  for (let row = 0; row < rows; row += 1) {
    for (let group = 0; group < groups; group += 1) text += (group ? ',' : '') + lines[group * rows + row];
    text += '\n';
  }
  return new TextEncoder().encode(text);
}
