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
 * Unpacks the core: guesses each symbol of the wasm module as `web/builder/src/guess` did, and reads from the packed
 * bytes which guess was right. What it guesses from, and why, is said there; every number here must come out as there.
 * @param {Uint8Array} packed
 * @returns {Uint8Array} the module
 */
function unpackCore(packed) {
  const [CODE, GET, SET, CALL, CALL_ON, BRANCH, ALIGN, OFFSET, OFFSET_ON, NUMBER, NUMBER_ON, FRACTION, REST, DATA, LENGTH,
    KINDS] = Array(16).keys();
  const header = new DataView(packed.buffer, packed.byteOffset);
  const length = header.getUint32(0, true);
  const tableAt = header.getUint32(4, true);
  const tableLength = header.getUint32(8, true);

  // ---- guessing -----------------------------------------------------------------------------------------------------

  const squash = new Int32Array(4096);
  for (let step = 0, power = 1 << 20; step < 2048; step += 1) {
    squash[2048 + step] = Math.floor(power * 65536 / (power + 1048576));
    squash[2048 - step] = 65536 - squash[2048 + step];
    power = Math.floor(power * 65793 / 65536);
  }
  squash[0] = squash[1];
  const stretch = new Int16Array(4096);
  for (let odds = 0, logit = 0; odds < 4096; odds += 1) {
    while (logit < 4095 && squash[logit] < odds * 16 + 8) logit += 1;
    stretch[odds] = logit - 2048;
  }
  const rates = Int32Array.from(Array(16).keys(), (asked) => 131072 / (2 * asked + 3));
  const more = Uint8Array.from(Array(16).keys(), (asked) => Math.min(asked + 1, 15));
  const odds = new Uint16Array(1 << 21).fill(1 << 15);
  const runs = new Int32Array(1 << 19);
  const weights = new Int32Array(KINDS * 512).fill(10000);
  const trusts = new Uint16Array(KINDS * 96).fill(57344);
  const corrections = Uint16Array.from(Array(KINDS * 32 * 33).keys(), (at) => squash[Math.min(at % 33 * 128, 4095)]);
  const places = new Int32Array(1 << 18);
  const contexts = new Int32Array(5);
  const past = new Uint8Array(length + 65536);
  let count = 0;
  let matched = 0;
  let matchLength = 0;
  const trees = [];
  let next = 16;
  // the reader of branches: its range, and where in it the packed number lies
  const reader = new Int32Array([-1, header.getInt32(12)]);

  /** A run after one more symbol: of how often it was right, at most 15, and whether it was ever wrong, a count below 32. */
  const after = (run, found) => {
    const right = run >> 8 & 15;
    if ((run & 255) === found && right > 0) return right < 15 ? run + 256 : run;
    if (right > 2) return run & ~0xf00 | right >> 1 << 8 | 0x1000;
    return run & ~0x1fff | (right > 0 ? 0x1100 : 0x100) | found;
  };

  const treeOf = (lengths) => {
    const codes = new Int32Array(256);
    const nodes = [];
    let path = 0;
    for (let length = 1, inner = 1; length < 16; length += 1, path *= 2) {
      const leaves = [...lengths.keys()].filter((symbol) => lengths[symbol] === length);
      const nextNode = nodes.length / 2 + inner;
      const branches = 2 * inner;
      inner = branches - leaves.length;
      for (const symbol of leaves) {
        codes[symbol] = path << 32 - length;
        path += 1;
        nodes.push(~symbol);
      }
      for (let node = 0; node < inner; node += 1) nodes.push(nextNode + node);
    }
    return { codes, nodes: Int16Array.from(nodes) };
  };

  /**
   * The next symbol, branch by branch. What a run or the match says goes on as long as it is right; its trust, the place
   * of one of `trusts`, is 0 when it has nothing more to say. There are few branches here, for none could be foreseen.
   */
  const symbol = (kind) => {
    const { codes, nodes } = trees[kind];
    const salt = kind << 26;
    let hash = Math.imul(contexts[0] + salt, 0x2c1b3c6d);
    const base0 = hash ^ hash >>> 15;
    let odds0 = odds[base0 & 0x1fffff];
    hash = Math.imul(contexts[1] + salt + 0x400000, 0x2c1b3c6d);
    const base1 = hash ^ hash >>> 15;
    let odds1 = odds[base1 & 0x1fffff];
    hash = Math.imul(contexts[2] + salt + 0x800000, 0x2c1b3c6d);
    const base2 = hash ^ hash >>> 15;
    let odds2 = odds[base2 & 0x1fffff];
    hash = Math.imul(contexts[3] + salt + 0xc00000, 0x2c1b3c6d);
    hash ^= hash >>> 15;
    const place3 = hash >>> 13;
    let run3 = runs[place3];
    if ((run3 ^ hash << 13) >>> 13 !== 0) run3 = hash << 13;
    hash = Math.imul(contexts[4] + salt + 0x1000000, 0x2c1b3c6d);
    hash ^= hash >>> 15;
    const place4 = hash >>> 13;
    let run4 = runs[place4];
    if ((run4 ^ hash << 13) >>> 13 !== 0) run4 = hash << 13;
    const path3 = codes[run3 & 255];
    const path4 = codes[run4 & 255];
    const trustOf = kind * 96;
    let cell3 = run3 & 0x1f00 ? trustOf + (run3 >> 8 & 31) : 0;
    let cell4 = run4 & 0x1f00 ? trustOf + 32 + (run4 >> 8 & 31) : 0;
    const path5 = codes[past[matched]];
    let cell5 = matchLength > 0 ? trustOf + 64 + (matchLength < 31 ? matchLength : 31) : 0;

    let range = reader[0];
    let code = reader[1];
    let node = 0;
    for (let depth = 0; node >= 0; depth += 1) {
      const near = node < 7 ? node : 7;
      const set = kind * 512 + ((-cell3 >>> 31) + (-cell4 >>> 31) + (-cell5 >>> 31) << 7) + (near << 4);
      const in0 = stretch[odds0 >> 4];
      const in1 = stretch[odds1 >> 4];
      const in2 = stretch[odds2 >> 4];
      const says3 = path3 << depth >> 31;
      const says4 = path4 << depth >> 31;
      const says5 = path5 << depth >> 31;
      const trust3 = trusts[cell3];
      const trust4 = trusts[cell4];
      const trust5 = trusts[cell5];
      // with the sign of what it says
      const in3 = (stretch[trust3 >> 4] ^ ~says3) - ~says3 | 0;
      const in4 = (stretch[trust4 >> 4] ^ ~says4) - ~says4 | 0;
      const in5 = (stretch[trust5 >> 4] ^ ~says5) - ~says5 | 0;
      const w0 = weights[set];
      const w1 = weights[set + 1];
      const w2 = weights[set + 2];
      const w3 = weights[set + 3];
      const w4 = weights[set + 4];
      const w5 = weights[set + 5];
      let logit = (Math.imul(in0, w0) + Math.imul(in1, w1) + Math.imul(in2, w2) + Math.imul(in3, w3) + Math.imul(in4, w4)
        + Math.imul(in5, w5) | 0) >> 16;
      if (logit > 2047) logit = 2047;
      if (logit < -2047) logit = -2047;
      logit += 2047;
      const mixed = squash[logit + 1];
      const part = logit & 127;
      const step = (kind * 32 + (node < 31 ? node : 31)) * 33 + (logit >> 7);
      const low = corrections[step];
      const high = corrections[step + 1];
      const share = mixed + (Math.imul(low, 128 - part) + Math.imul(high, part) >> 7) >> 1;

      const bound = Math.imul(range >>> 16, share) + (Math.imul(range & 0xffff, share) >>> 16) | 0;
      // all ones for a one
      const one = (code >>> 0) < (bound >>> 0) ? -1 : 0;
      code = code - (bound & ~one) | 0;
      range = one & bound | ~one & range - bound;
      while (range >>> 24 === 0) {
        range <<= 8;
        code = code << 8 | packed[next];
        next += 1;
      }

      corrections[step + (part >> 6)] += (one & 65535) - (part > 63 ? high : low) >> 6;
      const miss = (one & 65536) - mixed >> 2;
      if (miss >= 400 || miss <= -400) {
        weights[set] = w0 + (Math.imul(in0, miss) + 8192 >> 14);
        weights[set + 1] = w1 + (Math.imul(in1, miss) + 8192 >> 14);
        weights[set + 2] = w2 + (Math.imul(in2, miss) + 8192 >> 14);
        weights[set + 3] = w3 + (Math.imul(in3, miss) + 8192 >> 14);
        weights[set + 4] = w4 + (Math.imul(in4, miss) + 8192 >> 14);
        weights[set + 5] = w5 + (Math.imul(in5, miss) + 8192 >> 14);
      }
      const full = one & 4095;
      let old = odds0 >> 4;
      odds[base0 + node & 0x1fffff] = old + (Math.imul(full - old, rates[odds0 & 15]) >> 16) << 4 | more[odds0 & 15];
      old = odds1 >> 4;
      odds[base1 + node & 0x1fffff] = old + (Math.imul(full - old, rates[odds1 & 15]) >> 16) << 4 | more[odds1 & 15];
      old = odds2 >> 4;
      odds[base2 + node & 0x1fffff] = old + (Math.imul(full - old, rates[odds2 & 15]) >> 16) << 4 | more[odds2 & 15];
      const wrong3 = says3 ^ one;
      const wrong4 = says4 ^ one;
      const wrong5 = says5 ^ one;
      trusts[cell3] = trust3 + ((65535 & ~wrong3) - trust3 >> 6);
      trusts[cell4] = trust4 + ((65535 & ~wrong4) - trust4 >> 6);
      trusts[cell5] = trust5 + ((65535 & ~wrong5) - trust5 >> 6);
      trusts[0] = 32768;
      cell3 &= ~wrong3;
      cell4 &= ~wrong4;
      cell5 &= ~wrong5;
      node = nodes[2 * node - one];
      odds0 = odds[base0 + node & 0x1fffff];
      odds1 = odds[base1 + node & 0x1fffff];
      odds2 = odds[base2 + node & 0x1fffff];
    }
    if (next > packed.length + 4) throw new Error('the packed core ends early');
    reader[0] = range;
    reader[1] = code;
    const found = ~node;

    runs[place3] = after(run3, found);
    runs[place4] = after(run4, found);
    if (matchLength > 0) {
      if (past[matched] === found) {
        matchLength += 1;
        matched += 1;
      } else matchLength = 0;
    }
    past[count] = found;
    count += 1;
    return found;
  };

  /** Looks for where the symbols so far went on before. */
  const lookBack = (key) => {
    let hash = Math.imul(key, 0x2c1b3c6d);
    hash ^= hash >>> 15;
    const place = hash >>> 14;
    if (matchLength === 0 && places[place] > 0) {
      matched = places[place];
      matchLength = 1;
    }
    places[place] = count;
  };

  const flat = (leaves, depth) => treeOf(new Uint8Array(256).fill(depth, 0, leaves));
  trees[LENGTH] = flat(16, 4);
  trees[DATA] = flat(256, 8);
  for (let kind = 0; kind < DATA; kind += 1) {
    const lengths = new Uint8Array(256);
    for (let at = 0, before = 0; at < 256; at += 1) {
      contexts.fill(before);
      contexts[1] = before & 15;
      contexts[2] = at;
      lengths[at] = symbol(LENGTH);
      before = (before << 4 | lengths[at]) & 0xfff;
    }
    trees[kind] = treeOf(lengths);
  }
  past.fill(0);
  count = 0;

  // ---- outside of functions -----------------------------------------------------------------------------------------

  const mix = (one, other) => {
    const hash = Math.imul(one ^ Math.imul(other, 0x9e3779b1), 0x85ebca6b);
    return hash ^ hash >>> 15;
  };
  const all = (a, b, c = 0, d = 0, e = 0) => Math.imul(a, 0x9e3779b1) + Math.imul(b, 0x85ebca6b) + Math.imul(c, 0xc2b2ae35)
    + Math.imul(d, 0x27d4eb2f) + Math.imul(e, 0x165667b1) | 0;

  const module = new Uint8Array(length);
  let to = 0;
  const data = () => {
    const b1 = past[count - 1] | 0;
    const b2 = past[count - 2] | 0;
    const b4 = past[count - 4] | 0;
    const place = count & 3;
    const three = b1 | b2 << 8 | past[count - 3] << 16;
    contexts[0] = b1;
    contexts[1] = b1 | b2 << 8;
    contexts[2] = b2;
    contexts[3] = three;
    contexts[4] = all(b4 | past[count - 8] << 8, place);
    const byte = symbol(DATA);
    lookBack(all(three, b4, byte));
    module[to] = byte;
    to += 1;
    return byte;
  };
  /** A number of seven bits a byte, whose bytes come one after the other. */
  const numberOf = (byte) => {
    let value = 0;
    for (let shift = 0; ; shift += 7) {
      const part = byte();
      value |= (part & 127) << shift;
      if (part < 128) return value;
    }
  };

  // ---- functions ----------------------------------------------------------------------------------------------------

  const shapes = [];
  const functions = [];
  let imported = 0;
  /** What functions take and give, from the sections before them. */
  const readShapes = () => {
    let at = 8;
    const byte = () => module[at++];
    const number = () => numberOf(byte);
    const times = (act) => { for (let left = number(); left > 0; left -= 1) act(); };
    const types = () => {
      const start = at + 1;
      at = start + module[at];
      return module.subarray(start, at);
    };
    for (let id = byte(); id !== 10; id = byte()) {
      const size = number();
      const end = at + size;
      if (id === 1) {
        times(() => {
          at += 1;
          shapes.push({ takes: types(), gives: types()[0] | 0 });
        });
      } else if (id === 2) {
        times(() => {
          for (let names = 2; names > 0; names -= 1) {
            const size = number();
            at += size;
          }
          at += 1;
          imported += 1;
          functions.push(number());
        });
      } else if (id === 3) {
        times(() => functions.push(number()));
      }
      at = end;
    }
  };

  // by instruction: the kinds of its operands, how many values it takes from the stack, the type of what it leaves
  const operands = Array(256).fill([]);
  const takes = new Uint8Array(256);
  const gives = new Uint8Array(256);
  const group = (list, fill) => {
    for (const [from, to] of list) fill(from, (to || from) + 1);
  };
  const kindsOf = (kinds, ...list) => group(list, (from, to) => operands.fill(kinds, from, to));
  const stackOf = (count, type, ...list) => group(list, (from, to) => { takes.fill(count, from, to); gives.fill(type, from, to); });
  kindsOf([BRANCH], [0x0c, 0x0d]);
  kindsOf([CALL], [0x10]);
  kindsOf([REST, REST], [0x11]);
  kindsOf([GET], [0x20]);
  kindsOf([SET], [0x21, 0x22]);
  kindsOf([ALIGN, OFFSET], [0x28, 0x3e]);
  kindsOf([NUMBER], [0x41, 0x42]);
  kindsOf([REST], [0x02, 0x04], [0x23, 0x26], [0x3f, 0x40], [0xd0], [0xd2]);
  stackOf(1, 0, [0x0d], [0x1a], [0x21], [0x24]);
  stackOf(0, 0x7f, [0x23], [0x3f], [0x41]);
  stackOf(0, 0x7e, [0x42]);
  stackOf(0, 0x7d, [0x43]);
  stackOf(0, 0x7c, [0x44]);
  stackOf(1, 0x7e, [0x29], [0x30, 0x35], [0x79, 0x7b], [0xac, 0xb1], [0xbd], [0xc2, 0xc4]);
  stackOf(1, 0x7d, [0x2a], [0x8b, 0x91], [0xb2, 0xb6], [0xbe]);
  stackOf(1, 0x7c, [0x2b], [0x99, 0x9f], [0xb7, 0xbb], [0xbf]);
  stackOf(1, 0x7f, [0x28], [0x2c, 0x2f], [0x40], [0x45], [0x50], [0x67, 0x69], [0xa7, 0xab], [0xbc], [0xc0, 0xc1]);
  stackOf(2, 0, [0x36, 0x3e]);
  stackOf(2, 0x7f, [0x46, 0x4f], [0x51, 0x66], [0x6a, 0x78]);
  stackOf(2, 0x7e, [0x7c, 0x8a]);
  stackOf(2, 0x7d, [0x92, 0x98]);
  stackOf(2, 0x7c, [0xa0, 0xa6]);

  let number = 0; // of the function
  let codes = 0;
  let codesBefore = 0;
  let one = 0; // the last instructions with their operands
  let two = 0;
  let three = 0;
  let four = 0;
  let five = 0;
  const types = new Uint8Array(65536);
  const origins = new Int32Array(65536);
  let high = 0;
  let floor = 0; // of the block
  let blockCode = 0;
  let blocks = [];
  let locals = [];
  let got = 0;
  let set = 0;
  const last = new Int32Array(KINDS);
  let lastButOne = 0; // of the rest
  const lastBytes = new Int32Array(KINDS * 4);
  const offsets = new Int32Array(4096);
  const typeAt = (below) => high - below > floor ? types[high - 1 - below] : 0;
  const originAt = (below) => high - below > floor ? origins[high - 1 - below] : 0;
  const push = (type, origin) => {
    types[high] = type;
    origins[high] = origin;
    high += 1;
  };
  const drop = () => { if (high > floor) high -= 1; };
  const give = (count, type, origin) => {
    for (; count > 0; count -= 1) {
      origin = mix(origin, originAt(0));
      drop();
    }
    if (type > 0) push(type, origin);
  };

  const laterKind = new Uint8Array(KINDS).fill(REST);
  laterKind[CALL] = CALL_ON;
  laterKind[OFFSET] = OFFSET_ON;
  laterKind[NUMBER] = NUMBER_ON;

  const operand = (code, kind, first) => {
    const before = codes & 0xff;
    const twoBefore = codes & 0xffff;
    const height = high - floor;
    const origin = originAt(0);
    const type = typeAt(0);
    const base = code >= 0x36 ? originAt(1) : origin;
    const ago = last[kind];
    let value = 0;
    let byte;
    for (let place = 0; ; place += 1) {
      const at = place < 3 ? place : 3;
      const c = mix(code | at << 8 | first << 16, value);
      const cell = kind * 4 + at;
      if (kind === GET) {
        contexts[0] = c + all(before, got);
        contexts[1] = c + all(number, before);
        contexts[2] = c + all(number, height, origin);
        contexts[3] = c + all(one, two, three, four);
        contexts[4] = c + all(number, got);
      } else if (kind === SET) {
        contexts[0] = c + all(before, got);
        contexts[1] = c + all(number, before, type);
        contexts[2] = c + all(type, height, set);
        contexts[3] = c + all(one, two, three, four);
        contexts[4] = c + all(set, type, before);
      } else {
        const start = kind === OFFSET ? base : one;
        contexts[0] = c + all(start, 0);
        contexts[1] = c + all(0, kind === CALL ? all(type, typeAt(1), typeAt(2), height) : twoBefore);
        contexts[2] = all(code | at << 8, lastBytes[cell], first, before);
        contexts[3] = c + all(0, kind === OFFSET ? offsets[mix(base, number) & 4095] : all(ago, kind === CALL ? height : before));
        contexts[4] = c + all(codes, 0);
      }
      byte = symbol(place === 0 ? kind : laterKind[kind]);
      lastBytes[cell] = byte;
      if (place < 5) value |= (byte & 127) << 7 * place;
      if (byte < 128) break;
    }
    if (kind === GET) got = value;
    else if (kind === SET) set = value;
    else if (kind === REST) lastButOne = ago;
    last[kind] = value;
    return value;
  };

  const fraction = (code, bytes) => {
    let value = code;
    for (let at = 0, byte = 0; at < bytes; at += 1) {
      contexts[0] = all(at, value);
      contexts[1] = all(at, byte);
      contexts[2] = at;
      contexts[3] = all(at, value, one);
      contexts[4] = all(at, one);
      byte = symbol(FRACTION);
      value = mix(value, byte);
    }
    return value;
  };

  const open = (code, result) => {
    blocks.push([floor, blockCode, result]);
    floor = high;
    blockCode = code;
  };

  const takeAndLeave = (code, value, whole) => {
    if (code >= 0x02 && code <= 0x04) {
      if (code === 0x04) drop();
      open(code, value === 0x40 ? 0 : value);
    } else if (code === 0x05) {
      high = floor;
      blockCode = code;
    } else if (code === 0x0b) {
      high = floor;
      const [floorBefore, codeBefore, result] = blocks.pop();
      floor = floorBefore;
      blockCode = codeBefore;
      if (result > 0) push(result, whole);
    } else if (code === 0x00 || code === 0x0c || code === 0x0e || code === 0x0f) {
      high = floor;
    } else if (code === 0x10 || code === 0x11) {
      if (code === 0x11) drop();
      const shape = shapes[code === 0x10 ? functions[value] : lastButOne];
      for (let left = shape.takes.length; left > 0; left -= 1) drop();
      if (shape.gives > 0) push(shape.gives, whole);
    } else if (code === 0x1b) {
      drop();
      drop();
      const type = typeAt(0);
      drop();
      push(type, whole);
    } else if (code === 0x20) {
      push(locals[value], whole);
    } else if (code === 0x22) {
      const type = typeAt(0);
      drop();
      push(type, mix(0x20, value));
    } else if (code === 0xfc) {
      give(value < 8 ? 1 : 3, value < 4 ? 0x7f : value < 8 ? 0x7e : 0, whole);
    } else {
      if (code >= 0x28 && code <= 0x3e) offsets[mix(originAt(code >= 0x36 ? 1 : 0), number) & 4095] = value;
      give(takes[code], gives[code], whole);
    }
  };

  const instruction = () => {
    const type = typeAt(0);
    const height = high - floor;
    const before = codes & 0xff;
    const kinds = type & 15 | (typeAt(1) & 15) << 4;
    contexts[0] = all(codes & 0xffff, kinds);
    contexts[1] = all(kinds | (typeAt(2) & 15) << 8, height, before, blockCode);
    contexts[2] = all(codes, kinds, height);
    contexts[3] = all(codes, codesBefore & 0xff);
    contexts[4] = all(originAt(0), originAt(1), height);
    const code = symbol(CODE);
    let whole = code;
    let value = 0;
    if (code === 0x0e) {
      for (let labels = operand(code, REST, 0); labels >= 0; labels -= 1) operand(code, REST, 1);
    } else if (code === 0x43 || code === 0x44) {
      whole = fraction(code, code === 0x43 ? 4 : 8);
    } else if (code === 0xfc) {
      value = operand(code, REST, 0);
      whole = mix(code, value);
      for (let left = value < 8 ? 0 : [2, 1, 2, 1, 2, 1, 2, 1, 1, 1][value - 8]; left > 0; left -= 1) operand(code, REST, 1);
    } else {
      let first = 0;
      for (const kind of operands[code]) {
        value = operand(code, kind, first);
        whole = mix(whole, value);
        first = value + 1;
      }
    }
    takeAndLeave(code, value, whole);
    codesBefore = codesBefore << 8 | codes >>> 24;
    codes = codes << 8 | code;
    five = four;
    four = three;
    three = two;
    two = one;
    one = whole;
    lookBack(all(one, two, three, four, five));
  };

  const unpackFunction = () => {
    codes = codesBefore = one = two = three = four = five = high = floor = blockCode = 0;
    const start = count;
    open(0, 0);
    locals = [...shapes[functions[imported + number]].takes];
    for (let kinds = operand(1, REST, 0); kinds > 0; kinds -= 1) {
      let left = operand(1, REST, 1);
      const type = operand(1, REST, 2);
      for (; left > 0; left -= 1) locals.push(type);
    }
    while (blocks.length > 0) instruction();
    // the size stands before the function and is known after it
    for (let rest = count - start; ; rest >>= 7) {
      module[to++] = rest & 0x7f | (rest > 0x7f ? 0x80 : 0);
      if (rest <= 0x7f) break;
    }
    module.set(past.subarray(start, count), to);
    to += count - start;
    number += 1;
  };

  /** The table that check sums are reckoned with. */
  const table = () => {
    const words = new Uint32Array(4096);
    for (let at = 0; at < 4096; at += 1) {
      let word = at < 256 ? at : words[at - 256];
      if (at >= 256) word = word >>> 8 ^ words[word & 255];
      else for (let bit = 0; bit < 8; bit += 1) word = word >>> 1 ^ (word & 1 ? 0xedb88320 : 0);
      words[at] = word;
    }
    const view = new DataView(words.buffer);
    words.forEach((word, at) => view.setUint32(4 * at, word, true));
    module.set(new Uint8Array(words.buffer, 0, tableLength), to);
    to += tableLength;
  };
  const dataUntil = (end) => {
    while (to < end) {
      if (to === tableAt && tableLength > 0) table();
      else data();
    }
  };

  dataUntil(8);
  while (to < length) {
    const id = data();
    const size = numberOf(data);
    const end = to + size;
    if (id === 10) {
      const left = numberOf(data);
      readShapes();
      while (number < left) unpackFunction();
    } else {
      dataUntil(end);
    }
  }
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
