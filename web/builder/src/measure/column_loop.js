// The yardstick of reading in a browser: a loop for the invented file and no other, as quick as plain JavaScript gets.
// It streams the file, and fills the columns that the core's table has too. It knows which column is what and how each
// is written, takes every row as it stands, finds no repeats, and reckons nothing from them.
'use strict';

const COMMA = 44;
const LINE_END = 10;
const RETURN = 13;
const MINUS = 45;
const POINT = 46;
const ZERO = 48;

/** Columns with room for so many rows, with what is in those before. */
function room(rows, before) {
  const columns = {
    time: new Uint32Array(rows),
    sender: new Uint32Array(rows),
    listener: new Uint32Array(rows),
    hz: new Float64Array(rows),
    snr: new Float32Array(rows),
    drift: new Float32Array(rows),
    power: new Float32Array(rows),
  };
  for (const [name, column] of Object.entries(before || {})) columns[name].set(column);
  return columns;
}

/** Calls with their locators, each once: a table of hashes with open places over the letters in one array. */
function newStations() {
  let mask = 4095;
  let places = new Int32Array(mask + 1); // number + 1, or 0
  let letters = new Uint8Array(1 << 16);
  let used = 0;
  const from = [0];
  const hashes = [];

  /** The number of what stands in the bytes from `start` to `end`. */
  function number(bytes, start, end, hash) {
    let place = hash & mask;
    for (let found = places[place]; found !== 0; found = places[place]) {
      const at = from[found - 1];
      if (hashes[found - 1] === hash && from[found] - at === end - start) {
        let same = 0;
        while (start + same < end && letters[at + same] === bytes[start + same]) same += 1;
        if (start + same === end) return found - 1;
      }
      place = (place + 1) & mask;
    }
    if (used + end - start > letters.length) {
      const more = new Uint8Array(2 * (used + end - start));
      more.set(letters);
      letters = more;
    }
    for (let at = start; at < end; at += 1) letters[used + at - start] = bytes[at];
    used += end - start;
    from.push(used);
    hashes.push(hash);
    places[place] = hashes.length;
    if (2 * hashes.length > mask) grow();
    return hashes.length - 1;
  }

  function grow() {
    mask = 2 * mask + 1;
    places = new Int32Array(mask + 1);
    for (let at = 0; at < hashes.length; at += 1) {
      let place = hashes[at] & mask;
      while (places[place] !== 0) place = (place + 1) & mask;
      places[place] = at + 1;
    }
  }

  return { number, count: () => hashes.length };
}

async function readColumns(file) {
  const stations = newStations();
  let capacity = Math.ceil(file.size / 56) + 16;
  let columns = room(capacity);
  let rows = 0;
  let day = -1;
  let daySecond = 0;
  let left = new Uint8Array(0);
  let begun = false;

  /** Reads all whole lines of the bytes; gives where the last one ended. */
  function take(bytes, length) {
    const end = bytes.lastIndexOf(LINE_END, length - 1) + 1;
    let at = 0;
    if (!begun) {
      at = bytes.indexOf(LINE_END) + 1;
      if (at === 0) return 0;
      begun = true;
    }
    let { time, sender, listener, hz, snr, drift, power } = columns;
    // variables of this function alone are the quicker ones
    let row = rows;
    let today = day;
    let todaySecond = daySecond;
    while (at < end) {
      if (row === capacity) {
        capacity *= 2;
        columns = room(capacity, columns);
        ({ time, sender, listener, hz, snr, drift, power } = columns);
      }

      // 2031-04-27T06:30:00Z; days are reckoned once each
      const date = (bytes[at] * 10 + bytes[at + 1]) * 1e6 + (bytes[at + 2] * 10 + bytes[at + 3]) * 1e4
        + (bytes[at + 5] * 10 + bytes[at + 6]) * 100 + bytes[at + 8] * 10 + bytes[at + 9];
      if (date !== today) {
        today = date;
        const two = (from) => (bytes[from] - ZERO) * 10 + bytes[from + 1] - ZERO;
        todaySecond = Date.UTC(two(at) * 100 + two(at + 2), two(at + 5) - 1, two(at + 8)) / 1000;
      }
      time[row] = todaySecond + (bytes[at + 11] * 10 + bytes[at + 12] - 11 * ZERO) * 3600
        + (bytes[at + 14] * 10 + bytes[at + 15] - 11 * ZERO) * 60 + bytes[at + 17] * 10 + bytes[at + 18] - 11 * ZERO;
      at += 21;

      for (let side = 0; side < 2; side += 1) {
        const start = at;
        let hash = 0;
        let byte = bytes[at];
        while (byte !== COMMA) {
          hash = (Math.imul(hash, 31) + byte) | 0;
          at += 1;
          byte = bytes[at];
        }
        at += 1;
        byte = bytes[at];
        while (byte !== COMMA) {
          hash = (Math.imul(hash, 31) + byte) | 0;
          at += 1;
          byte = bytes[at];
        }
        const station = stations.number(bytes, start, at, (hash ^ (hash >>> 15)) | 0);
        if (side === 0) sender[row] = station;
        else listener[row] = station;
        at += 1;
      }

      for (let column = 0; column < 4; column += 1) {
        let byte = bytes[at];
        const below = byte === MINUS;
        if (below) {
          at += 1;
          byte = bytes[at];
        }
        let value = 0;
        while (byte >= ZERO) {
          value = value * 10 + byte - ZERO;
          at += 1;
          byte = bytes[at];
        }
        let parts = 1;
        if (byte === POINT) {
          at += 1;
          byte = bytes[at];
          while (byte >= ZERO) {
            value = value * 10 + byte - ZERO;
            parts *= 10;
            at += 1;
            byte = bytes[at];
          }
        }
        if (below) value = -value;
        if (column === 0) hz[row] = (value / parts) * 1e6;
        else if (column === 1) snr[row] = value / parts;
        else if (column === 2) drift[row] = value / parts;
        else power[row] = value / parts;
        if (byte === RETURN) at += 1;
        at += 1;
      }
      row += 1;
    }
    rows = row;
    day = today;
    daySecond = todaySecond;
    return end;
  }

  const reader = file.stream().getReader();
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    let bytes = value;
    if (left.length) {
      bytes = new Uint8Array(left.length + value.length);
      bytes.set(left);
      bytes.set(value, left.length);
    }
    left = bytes.slice(take(bytes, bytes.length));
  }
  if (left.length) {
    const last = new Uint8Array(left.length + 1);
    last.set(left);
    last[left.length] = LINE_END;
    take(last, last.length);
  }
  return { rows, stations: stations.count(), columns };
}

onmessage = async ({ data: file }) => {
  if (!file) {
    postMessage({});
    return;
  }
  const read = await readColumns(file);
  postMessage(read, Object.values(read.columns).map((column) => column.buffer));
};
