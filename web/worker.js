'use strict';
/**
 * The core behind messages. What comes in is served strictly in order; every message is answered by one reply.
 * It runs in a worker; where a page may have none, the page calls it directly.
 * @param {(message: object) => void} reply
 * @returns {(message: object) => void} what takes the messages
 */
function serveCore(reply) {
  let terminal = null;
  let unpack = null;
  let unpacked = null;
  let first = null;

  const serve = {
    /** The first half of the core stays here, the second goes to where the first is. */
    half({ unpacker, core, half }) {
      const bytes = unpackerOf(unpacker)(core, half);
      if (half === 2) return { kind: 'done', bytes: bytes.slice() };
      first = bytes;
      return { kind: 'done' };
    },
    /** A core that was compiled or unpacked before need not be unpacked; one whose second half another worker unpacked is whole. */
    start({ unpacker, core, second, bytes, module, keep }) {
      unpacked = (text) => {
        unpack ??= unpackerOf(unpacker);
        return unpack(text);
      };
      let unpackedNow = bytes;
      if (second) {
        unpackedNow = new Uint8Array(first.length + second.length);
        unpackedNow.set(first);
        unpackedNow.set(second, first.length);
      } else if (core) {
        unpackedNow = unpacked(core);
      }
      first = null;
      module ??= new WebAssembly.Module(unpackedNow);
      wasm_bindgen.initSync({ module });
      wasm_bindgen.listen_for_panics((text) => reply({ kind: 'panic', text }));
      terminal = new wasm_bindgen.Terminal();
      return { kind: 'started', module, bytes: keep ? unpackedNow.slice() : undefined };
    },
    attach({ picture, canvas }) {
      // a context is got once per canvas: a second time fails in some browsers
      terminal.attach(picture, canvas, canvas ? canvas.getContext('2d') : undefined);
      return { kind: 'done' };
    },
    begin({ name, size }) {
      terminal.begin_file(name, size);
      return { kind: 'done' };
    },
    chunk({ bytes }) {
      const patches = terminal.chunk(bytes);
      // its memory is free now, not when the browser gets round to it
      bytes.buffer.transfer?.(0);
      return { kind: 'patches', patches };
    },
    packed({ text }) {
      return { kind: 'patches', patches: terminal.chunk(joinColumns(unpacked(text))) };
    },
    end() {
      const patches = terminal.end_file();
      return { kind: 'patches', number: patches.pop(), patches };
    },
    /** Bytes of a file from one on: none at its end. */
    bytes({ number, from }) {
      return { kind: 'done', name: terminal.file_name(number), bytes: terminal.file_bytes(number, from) };
    },
    drop() {
      terminal.drop_file();
      return { kind: 'done' };
    },
    event({ event }) {
      return { kind: 'patches', patches: terminal.handle(event) };
    },
    /** Reads on, with a part that a helper read; where that was there is room for another, as in `room`. */
    read({ event, part, room }) {
      if (part) {
        terminal.take_part(part.from, part.bytes.subarray(0, part.length));
        room.push(part);
      }
      const patches = terminal.handle(event);
      const parts = room.map(({ bytes, own }) => {
        const [from, length] = terminal.share(bytes, own) || [];
        return { from, length, bytes, own };
      });
      return { kind: 'patches', patches, waits: terminal.waits(), parts };
    },
    /** All that a helper does: it reads parts of a file. */
    errand({ module, part }) {
      wasm_bindgen.initSync({ module });
      const length = wasm_bindgen.read_part(part.bytes, part.length);
      return { kind: 'done', parts: [{ ...part, length }] };
    },
  };

  return (message) => {
    try {
      reply(serve[message.kind](message));
    } catch (error) {
      // after a trap the core's memory is not to be trusted: the page starts another one
      reply({ kind: 'stopped', text: String((error && error.message) || error) });
    }
  };
}

if (typeof document === 'undefined') {
  const take = serveCore((message) => {
    const buffers = [message, ...(message.parts || [])].flatMap(({ bytes }) => (bytes ? [bytes.buffer] : []));
    try {
      self.postMessage(message, buffers);
    } catch (error) {
      if (!message.module) throw error;
      // where a module may not be handed on there are no helpers
      self.postMessage({ kind: message.kind });
    }
  });
  self.onmessage = ({ data }) => take(data);
}
