'use strict';
(() => {
  const root = document.documentElement;
  const $ = (id) => document.getElementById(id);

  // ---- the core: in a worker of its own --------------------------------------------------------------------------

  let worker = null; // the worker, once there is one
  let module; // the core compiled, for more workers
  let prepared; // when it is known what was here before
  let ready = false;
  let waiting = []; // callbacks for the replies, in order
  let reading = null; // the file that the core is busy with: { name, cancelled }
  let settings = location.hash.slice(1);
  let work = { files: [], text: '' }; // numbers of the files that are loaded, and what else the work is
  const files = new Map(); // these files by number: { name, file } or { name, text }
  let restarts = 0;

  /** The page as it came, to be handed on with a work in it: what is known of it, without what else got into it. */
  const original = root.cloneNode(true);
  for (const stray of original.querySelectorAll(':scope > :not(head, body), head > :not(meta, title, link[rel="icon"], style:first-of-type), body > :not(.skip, [id], main, noscript, script:last-of-type), #shared-work')) stray.remove();
  let shared = $('shared-work') && { name: 'shared page', block: 'shared-work' };

  const textOf = (id) => $(id).textContent;

  /** Sends a message to the core; the promise holds its reply, or null if the core stopped instead. */
  function send(message, transfer = []) {
    return new Promise((resolve) => {
      waiting.push(resolve);
      worker.postMessage(message, transfer);
      doubt ??= setTimeout(tellSilence, 15e3);
    });
  }

  let doubt; // runs while the core owes an answer
  /** A core that was ended by the browser says nothing, like one that has much to do: the person decides. */
  function tellSilence() {
    if (inPage) return;
    reading ||= { ...freshReading(''), shown: 0 };
    reading.silent = true;
    showProgress(reading);
  }

  function coreSpoke() {
    doubt = clearTimeout(doubt);
    if (waiting.length) doubt = setTimeout(tellSilence, 15e3);
    if (!reading?.silent) return;
    reading.silent = false;
    if (!reading.name && !reading.words) {
      reading = null;
      hideProgress();
    }
  }

  /** An event as it crosses: one flat object. */
  function flat(event) {
    const [kind, { surroundings: around, ...told }] = typeof event === 'string' ? [event, {}] : Object.entries(event)[0];
    return { kind, ...told, ...around };
  }

  /** Tells the core what happened: an object with one key, the event's name. */
  async function tell(event) {
    if (!ready) return;
    const answer = await send({ kind: 'event', event: flat(event) });
    if (!answer) return;
    applyAll(answer.patches);
    keepPlaying();
    if (goesOn(answer)) await readOn();
  }

  let tick;
  /** While a view moves by itself it says when its next step is due. */
  function keepPlaying() {
    const playing = document.querySelector('[data-tick]');
    if (!playing) tick = clearTimeout(tick);
    else tick ??= setTimeout(() => { tick = undefined; act('play', 'tick'); }, playing.dataset.tick);
  }

  function zoneChanges() {
    const ahead = (ms) => -new Date(ms).getTimezoneOffset();
    const week = 7 * 864e5;
    const changes = [];
    let known = NaN;
    for (let at = Date.UTC(2005, 0); at < Date.UTC(2045, 0); at += week) {
      if (ahead(at) === known) continue;
      let low = at - week;
      let high = at;
      while (changes.length && high - low > 6e4) {
        const middle = Math.floor((low + high) / 12e4) * 6e4;
        if (ahead(middle) === known) low = Math.max(middle, low + 6e4);
        else high = middle;
      }
      known = ahead(at);
      changes.push({ from_unix_s: Math.round((changes.length ? high : low) / 1000), ahead_min: known });
    }
    return changes;
  }

  /** The person's language; the browser's own where it names the system's 'C', which is none. */
  let language;
  try {
    [language] = Intl.getCanonicalLocales(navigator.language);
  } catch { /* the browser's own */ }
  /** What it writes before decimals: a comma or a point. */
  const decimalMark = (1.5).toLocaleString(language)[1] === ',' ? ',' : '.';
  /** Which part of a date it writes first. */
  const dateBeginsWith = new Intl.DateTimeFormat(language, { dateStyle: 'long' }).formatToParts()
    .find(({ type }) => ['day', 'month', 'year'].includes(type))?.type ?? 'day';

  const queries = {
    dark: matchMedia('(prefers-color-scheme: dark)'),
    forced: matchMedia('(forced-colors: active)'),
    narrow: matchMedia('(max-width: 719.98px)'),
    still: matchMedia('(prefers-reduced-motion: reduce)'),
  };

  function surroundings() {
    const forced = queries.forced.matches;
    let dark = queries.dark.matches;
    if (forced) {
      const [r, g, b] = (getComputedStyle(document.body).backgroundColor.match(/\d+/g) || [255, 255, 255]).map(Number);
      dark = 2 * r + 5 * g + b < 1020;
    }
    return { dark, forced, narrow: paper || queries.narrow.matches, still: queries.still.matches, paper };
  }

  /** The core in a worker of its own. */
  function coreInWorker() {
    const url = URL.createObjectURL(new Blob([textOf('core-worker')], { type: 'text/javascript' }));
    return new Worker(url);
  }

  /** The core in the page itself, where workers are forbidden: slower to answer, otherwise the same. */
  function coreInPage() {
    const core = { onmessage: null, terminate() {} };
    const takes = serveCore((data) => queueMicrotask(() => core.onmessage({ data })));
    core.postMessage = (message) => takes(message);
    return core;
  }

  // without a canvas that a worker draws on
  let inPage = !HTMLCanvasElement.prototype.transferControlToOffscreen;
  async function start(stoppedAt) {
    let mine;
    try {
      mine = inPage ? coreInPage() : coreInWorker();
    } catch {
      inPage = true;
      mine = coreInPage();
    }
    worker = mine;
    waiting = [];
    mine.onmessage = ({ data }) => {
      if (mine !== worker) return;
      if (data.kind === 'panic') console.warn(data.text);
      else if (data.kind === 'stopped') restart(data.text);
      else {
        waiting.shift()(data);
        coreSpoke();
      }
    };
    mine.onerror = (event) => {
      if (mine !== worker) return;
      event.preventDefault?.();
      restart(event.message);
    };
    beginHistory();
    const bytes = module ? undefined : await keptCore();
    if (mine !== worker) return;
    const keep = !module && !bytes && keepsCore();
    const core = module || bytes ? '' : textOf('core-wasm');
    if (bytes) root.dataset.core = 'kept';
    const unpacker = textOf('core-unpacker');
    const second = core && !inPage && navigator.hardwareConcurrency > 1 ? await inHalves({ kind: 'half', unpacker, core }) : undefined;
    if (mine !== worker) return;
    const started = await send({ kind: 'start', unpacker, core, second, bytes, module, keep });
    if (!started) return;
    module = started.module ?? module;
    if (started.bytes) isStarted.then(() => keepCore(started.bytes));
    await prepared;
    if (mine !== worker) return;
    ready = true;
    markStarted();
    const changes = zoneChanges();
    await tell({
      boot: {
        value: settings,
        zone_from: changes.map(({ from_unix_s }) => from_unix_s),
        zone_ahead: changes.map(({ ahead_min }) => ahead_min),
        surroundings: surroundings(),
        stopped: stoppedAt !== undefined,
        name: stoppedAt ?? '',
        stepwise: true,
        decimal_comma: decimalMark === ',',
        sends,
        hosted,
        date_begins_with: dateBeginsWith,
        ...keptBefore(),
      },
    });
    adoptCanvases();
    root.dataset.state = 'ready';
  }

  /**
   * Two workers unpack half of the core each.
   * @returns the second half; nothing if it does not come soon after the first: then the core's own worker does it all
   */
  async function inHalves(asked) {
    const helper = coreInWorker();
    const half = new Promise((resolve) => {
      helper.onmessage = ({ data }) => resolve(data.bytes);
      helper.onerror = () => resolve();
    });
    helper.postMessage({ ...asked, half: 2 });
    await send({ ...asked, half: 1 });
    const second = await Promise.race([half, new Promise((resolve) => { setTimeout(resolve, 1500); })]);
    helper.terminate();
    return second;
  }

  let settling; // until the core is there again, with its files
  function settle(work) {
    const over = work.finally(() => { if (settling === over) settling = null; });
    settling = over;
    return over;
  }

  /** The core stopped, or was stopped by Cancel: another one takes its place and gets the same files. */
  const restart = (reason) => settle(recover(reason));
  async function recover(reason) {
    worker.terminate();
    doubt = clearTimeout(doubt);
    // one that never began is not allowed here
    inPage ||= !ready;
    ready = false;
    waiting.splice(0).forEach((resolve) => resolve(null));
    const culprit = reading;
    if (culprit) endHelpers(culprit);
    reading = null;
    hideProgress();
    restarts += 1;
    if (inPage && culprit && !culprit.cancelled) return fail(`The core stopped while it read ${culprit.name} (${reason}).`);
    if (restarts > 3) return fail(`The core stopped again and again (${reason}).`);
    for (const canvas of document.querySelectorAll('canvas[data-picture]')) canvas.replaceWith(canvas.cloneNode());
    adopted.clear();
    const again = work.files.map((number) => files.get(number)).filter(Boolean);
    const text = again.length === work.files.length ? work.text : '';
    files.clear();
    work = { files: [], text: '' };
    sample.shown = false;
    await start(culprit?.cancelled ? undefined : culprit?.name || '');
    if (shared) await read([shared], 'shared');
    else if (again.length) await read(again, 'again', text);
    setTimeout(() => { restarts = 0; }, 30000);
  }

  function fail(text) {
    root.dataset.state = 'failed';
    $('failed').textContent = `${text} This page cannot start here. It needs a browser of 2023 or newer with WebAssembly and workers allowed for this page; reload it, or open it in another browser. Nothing you have was read or sent.`;
  }

  // ---- patches ---------------------------------------------------------------------------------------------------

  const patches = {
    html({ region, html }) {
      const next = document.createElement('template');
      next.innerHTML = html;
      morphChildren($(region), next.content);
    },
    announce: ({ text }) => announce(text),
    focus({ id }) {
      const place = $(id);
      place?.focus({ preventScroll: inSight(place.getBoundingClientRect()) });
    },
    title: ({ text }) => { document.title = text; },
    theme: ({ name }) => { root.dataset.theme = name; },
    state: ({ name }) => {
      // what was shared made room for files of the person's own
      if (name === 'empty' && root.dataset.view !== 'empty') shared = null;
      root.dataset.view = name;
      scrollTo(0, 0);
    },
    settings: (patch) => {
      if (leap) queued.push(patch);
      else enter(patch);
    },
    work(told) {
      work = told;
      for (const number of files.keys()) if (!told.files.includes(number)) files.delete(number);
      for (const number of told.files) if (!files.has(number)) takeInner(number);
      keepLater(told);
      told.fresh = false;
    },
    async 'work-file'({ name, text }) {
      const packed = await pack(new Blob([text]));
      const plain = packed.type === '';
      patches.save({ name: plain ? name.replace(/\.gz$/, '') : name, media_type: plain ? 'application/json' : packed.type, bytes: packed });
      takenAt = Date.now();
      tellTaken();
      keepLater(work);
    },
    save({ name, media_type, bytes }) {
      const link = document.createElement('a');
      link.href = URL.createObjectURL(new Blob([bytes], { type: media_type }));
      link.download = name;
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    },
    raster({ to, name, text, times }) {
      const image = new Image();
      image.onload = () => {
        const canvas = document.createElement('canvas');
        canvas.width = image.naturalWidth * times;
        canvas.height = image.naturalHeight * times;
        canvas.getContext('2d').drawImage(image, 0, 0, canvas.width, canvas.height);
        URL.revokeObjectURL(image.src);
        canvas.toBlob((blob) => handOver[to](name, blob).catch((error) => {
          if (error.name === 'AbortError') return;
          handOver.save(name, blob);
          announce(`The browser did not do that (${error.message}): ${name} is saved instead.`);
        }));
      };
      image.src = URL.createObjectURL(new Blob([text], { type: 'image/svg+xml' }));
    },
    async page({ name, text }) {
      const packed = await pack(new Blob([text]));
      const address = await new Promise((resolve) => {
        const reader = new FileReader();
        reader.onload = () => resolve(reader.result);
        reader.readAsDataURL(packed);
      });
      const page = original.cloneNode(true);
      const block = document.createElement('script');
      Object.assign(block, { type: 'text/plain', id: 'shared-work', textContent: address.split(',')[1] });
      page.querySelector('#core-wasm').before(block);
      page.querySelector('title').textContent = document.title;
      patches.save({ name, media_type: 'text/html', bytes: new Blob(['<!doctype html>\n', page.outerHTML, '\n']) });
    },
    copy: ({ text }) => copy(text),
    progress({ words, share }) {
      reading ||= freshReading('');
      reading.words = words;
      reading.share = share;
    },
    /** An archive is coming in: wait until it is known what of it is wanted. */
    archive({ step }) {
      if (!reading) return;
      if (step === 'asks') {
        reading.cut = true;
        reading.asks = new Promise((resolve) => { reading.answered = resolve; });
      } else {
        reading.refused = step === 'ends';
        reading.answered?.();
      }
    },
    keep({ text }) {
      const on = text !== null && text !== undefined;
      try {
        if (on) localStorage.setItem(KEPT, text);
        else localStorage.removeItem(KEPT);
      } catch { /* full or forbidden: the page works on and forgets with its tab */ }
      if (!on) forgetWorks();
      else if (!keeping) {
        keeping = true;
        keepLater(work);
      }
    },
    svg({ picture, text }) {
      const canvas = document.querySelector(`canvas[data-picture="${picture}"]`);
      if (!canvas) return;
      const image = new Image();
      if (paper) {
        image.src = URL.createObjectURL(new Blob([text], { type: 'image/svg+xml' }));
        putOnPaper(canvas, image);
        return;
      }
      image.onload = () => {
        const ratio = devicePixelRatio || 1;
        canvas.width = Math.round(canvas.clientWidth * ratio);
        canvas.height = Math.round(canvas.clientHeight * ratio);
        canvas.getContext('2d').drawImage(image, 0, 0, canvas.width, canvas.height);
        URL.revokeObjectURL(image.src);
      };
      image.src = URL.createObjectURL(new Blob([text], { type: 'image/svg+xml' }));
    },
  };

  /** What becomes of a picture. */
  const handOver = {
    async save(name, blob) {
      patches.save({ name, media_type: blob.type, bytes: blob });
    },
    async copy(name, blob) {
      await navigator.clipboard.write([new ClipboardItem({ [blob.type]: blob })]);
      announce('The picture is copied.');
    },
    send: (name, blob) => navigator.share({ files: [new File([blob], name, { type: blob.type })] }),
  };
  const sends = Boolean(navigator.canShare?.({ files: [new File([''], 'a.png', { type: 'image/png' })] }));

  // ---- steps in the browser's history: Back undoes, Forward does again -----------------------------------------------

  /** What tells entries of this core from those of an earlier one, or of the page before it was loaded again. */
  let visit;
  /** The step that each of our entries stands for. */
  let entries;
  let current; // the entry that is shown
  let leap; // while the browser goes to another entry: what ends the waiting
  let queued = [];
  let writes = []; // when the address was written in the last half minute
  let lateWrite;
  let taken = false; // the entry is there already: the next step needs none of its own

  function beginHistory() {
    visit = Math.random();
    entries = [0];
    current = 0;
    history.scrollRestoration = 'manual';
    writeEntry('replaceState');
  }

  /** Browsers take about a hundred changes of the address in half a minute: some are left for Back and Forward. */
  function mayWrite() {
    const now = performance.now();
    writes = writes.filter((time) => now - time < 30000);
    return writes.length < 80;
  }

  function writeEntry(how) {
    clearTimeout(lateWrite);
    if (!mayWrite()) {
      lateWrite = setTimeout(writeEntry, 1000, 'replaceState');
      return;
    }
    writes.push(performance.now());
    try {
      const address = settings ? `#${settings}` : location.pathname + location.search;
      history[how]({ visit, current, step: entries[current] }, '', address);
    } catch { /* some browsers forbid it for local files: the address then simply stays */ }
  }

  /** The step that the core shows becomes an entry of the browser's history, or is one. */
  function enter({ text, step, first, way }) {
    settings = text;
    let how = 'replaceState';
    if (way === 'new') {
      entries.length = current + 1;
      if (taken) taken = false;
      else if (mayWrite()) {
        current += 1;
        how = 'pushState';
      }
    } else if (way === 'moved') {
      const there = step === first ? 0 : entries.indexOf(step);
      if (there >= 0 && there !== current) {
        const by = there - current;
        current = there;
        entries[current] = step;
        // no answer comes where the browser has no such entry
        leap = setTimeout(landed, 1000);
        history.go(by);
        return;
      }
    }
    entries[current] = step;
    writeEntry(how);
  }

  function landed() {
    clearTimeout(leap);
    leap = undefined;
    writeEntry('replaceState');
    const late = queued;
    queued = [];
    late.forEach(patches.settings);
  }

  addEventListener('popstate', ({ state }) => {
    if (leap) {
      landed();
    } else if (state?.visit === visit) {
      current = state.current;
      tell({ step: { size: state.step } });
    } else {
      // an address that was typed, or an entry of before the page was loaded again: its settings become a step
      current = state ? 0 : current + 1;
      entries.length = current;
      entries[current] = entries[current - 1] ?? 0;
      taken = true;
      const text = location.hash.slice(1);
      if (text !== settings) tell({ settings: { text } });
      settings = text;
      writeEntry('replaceState');
    }
  });

  const apply = (patch) => patches[patch.kind]?.(patch);

  /** Of what is taller than half the window its beginning is enough: no page jumps for its end. */
  const inSight = ({ top, bottom }) => top >= 0
    && (bottom <= innerHeight || (bottom - top > innerHeight / 2 && top < innerHeight / 2));

  /** What had the focus and was in sight stays in sight, though parts above it may have grown. */
  function applyAll(list) {
    const before = document.activeElement;
    const seen = before && before !== document.body && inSight(before.getBoundingClientRect());
    list.forEach(apply);
    if (list.some(({ kind }) => kind === 'html')) {
      place();
      adoptCanvases();
      countRequests();
      tellTaken();
      makeSortable();
    }
    const now = document.activeElement;
    if (seen && now && now !== document.body && !now.matches('canvas') && !inSight(now.getBoundingClientRect())) {
      now.scrollIntoView({ block: 'nearest' });
    }
  }

  // ---- the core is kept unpacked, so that the next start need not unpack it -----------------------------------------
  //
  // Database 'farheard-core', version 1: the module's bytes, believed only by their sum.

  const hosted = /^https?:$/.test(location.protocol);
  const KEPT = 'farheard-corrections';
  const CORE = 'farheard-core';

  /** Only where the page keeps things anyway: it says so where it keeps nothing. */
  function keepsCore() {
    try {
      return Boolean(!inPage && !shared && crypto.subtle && indexedDB && (hosted || localStorage.getItem(KEPT) !== null));
    } catch {
      return false;
    }
  }

  async function withCores(mode, work) {
    const request = indexedDB.open(CORE, 1);
    request.onupgradeneeded = () => request.result.createObjectStore('core');
    const opened = await done(request);
    try {
      return await done(work(opened.transaction('core', mode).objectStore('core')));
    } finally {
      opened.close();
    }
  }

  /** The core as it was kept, if it is this page's own. */
  async function keptCore() {
    if (!keepsCore()) return undefined;
    const look = async () => {
      const bytes = await withCores('readonly', (store) => store.get('core'));
      const sum = bytes && new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
      return sum && Array.from(sum, (byte) => byte.toString(16).padStart(2, '0')).join('') === $('core-wasm').dataset.sum ? bytes : undefined;
    };
    // a store that is slow or does not answer is no reason to wait
    const late = new Promise((resolve) => { setTimeout(resolve, 400); });
    return Promise.race([look(), late]).catch(() => undefined);
  }

  async function keepCore(bytes) {
    try {
      await withCores('readwrite', (store) => store.put(bytes, 'core'));
      root.dataset.core = 'stored';
    } catch (error) {
      console.warn(error);
    }
  }

  /** What an earlier visit left. A page from disk keeps nothing unasked: other local pages could read it. */
  function keptBefore() {
    try {
      const kept = localStorage.getItem(KEPT);
      localStorage.setItem(`${KEPT}-try`, '1');
      localStorage.removeItem(`${KEPT}-try`);
      // what somebody shared is not kept, and leaves what is kept here alone
      keeping = !shared && (hosted || kept !== null);
      return { text: keeping && kept ? kept : '', keeping: keeping ? 'always' : 'not-yet' };
    } catch {
      keeping = false;
      return { text: '', keeping: 'never' };
    }
  }

  // ---- the work is kept in this browser ---------------------------------------------------------------------------
  //
  // Database 'farheard', version 1. 'works': { id, at, text, files, taken }: when it was written, what the core told of
  // it, ids of its files in order, when the last work file was taken. 'files': { id, bytes, packed }.
  // A work and its files are written in one transaction, so that a page killed meanwhile leaves the former state.
  // Each page has a work of its own and holds a lock with its id, so that no page writes over that of another.

  let keeping = false; // may anything be kept?
  let takenAt = 0; // when the last work file was taken
  let mine = null; // the work of this page in the store: { id, own, release }
  let notKept = ''; // why it could not be kept
  const done = (request) => new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

  const packs = Boolean(globalThis.CompressionStream);
  const packed = (stream) => new Response(packs ? stream.pipeThrough(new CompressionStream('gzip')) : stream).arrayBuffer();

  async function pack(blob) {
    return packs ? new Blob([await packed(blob.stream())], { type: 'application/gzip' }) : blob;
  }

  /**
   * A file that the core has, piece by piece: all of it at once would be held three times. It is `gone` if the core
   * stopped meanwhile, or the file is no part of the work any more.
   */
  function fromCore(number) {
    const told = { name: '', gone: false, stream: null };
    let from = 0;
    const pull = async (into) => {
      const answer = await send({ kind: 'bytes', number, from });
      told.name = answer?.name || told.name;
      if (answer?.bytes?.length) {
        from += answer.bytes.length;
        into.enqueue(answer.bytes);
      } else if (answer?.bytes) {
        into.close();
      } else {
        told.gone = true;
        into.error(new Error('the file is gone'));
      }
    };
    told.stream = new ReadableStream({ pull });
    return told;
  }

  let database;
  function openDatabase() {
    database ??= (async () => {
      const request = indexedDB.open('farheard', 1);
      request.onupgradeneeded = () => {
        for (const name of ['works', 'files']) request.result.createObjectStore(name, { keyPath: 'id' });
      };
      const opened = await done(request);
      // another page forgets everything, or is of a newer version
      opened.onversionchange = () => {
        opened.close();
        database = undefined;
      };
      return opened;
    })();
    database.catch(() => { database = undefined; });
    return database;
  }

  /** Takes the lock of a work; gives what lets it go again, or nothing if another page has it. */
  const hold = (id) => new Promise((resolve) => {
    // pages of a host without TLS have no locks: two of them may then write over each other
    if (!navigator.locks) resolve(() => {});
    navigator.locks?.request(`farheard ${id}`, { ifAvailable: true }, (lock) => (
      lock ? new Promise((release) => { resolve(release); }) : resolve(null)));
  });

  async function takeNew() {
    const id = `${Date.now()}-${Math.random()}`;
    mine = { id, own: false, release: await hold(id) };
  }

  /** All works that are kept, the latest first. */
  async function keptWorks() {
    const store = (await openDatabase()).transaction('works').objectStore('works');
    return (await done(store.getAll())).sort((a, b) => b.at - a.at);
  }

  /** The files of a kept work; fails if one is missing, which only a fault of the browser's store explains. */
  async function filesOf(kept) {
    const names = JSON.parse(kept.text).files.map(({ name }) => name);
    const store = (await openDatabase()).transaction('files').objectStore('files');
    const found = await Promise.all(kept.files.map((id) => done(store.get(id))));
    if (!names.length || names.length !== found.length) throw new Error('files of it are missing');
    return Promise.all(found.map(async ({ id, bytes, packed }, at) => {
      const blob = new Blob([bytes]);
      const file = packed ? await new Response(blob.stream().pipeThrough(new DecompressionStream('gzip'))).blob() : blob;
      return { name: names[at], file, stored: id };
    }));
  }

  /** Takes over the work of an earlier visit, the one of this tab before others, if no other page has it open. */
  async function takeKept() {
    const works = await keptWorks();
    const before = sessionStorage.getItem('farheard-work');
    works.sort((a, b) => (b.id === before) - (a.id === before));
    for (const kept of works) {
      const release = await hold(kept.id);
      if (!release) continue;
      try {
        const items = await filesOf(kept);
        own(kept, release);
        return { items, text: kept.text };
      } catch (error) {
        console.warn(error);
        release();
        isStarted.then(() => tell({ kept: { text: 'damaged' } }));
      }
    }
    return null;
  }

  function own(kept, release) {
    mine = { id: kept.id, own: true, release };
    takenAt = kept.taken;
    sessionStorage.setItem('farheard-work', kept.id);
  }

  /** A file that came inside another one: the core alone has it. */
  const coming = new Set();
  async function takeInner(number) {
    if (coming.has(number)) return;
    coming.add(number);
    const inner = fromCore(number);
    const bytes = await new Response(inner.stream).arrayBuffer().catch(() => null);
    coming.delete(number);
    if (!bytes || !work.files.includes(number)) return;
    files.set(number, { name: inner.name, file: new Blob([bytes]) });
    keepLater(work);
  }

  /** So many bytes are kept at most: they are held twice while they are written. */
  const MOST_KEPT = 2e8;
  const bytesOf = (numbers) => numbers.reduce((sum, number) => sum + (files.get(number)?.file?.size ?? 0), 0);

  let keepTimer;
  let keepingSince;
  let writing = null;
  /** Keeps the work soon: at once when the page is left, else when nothing changed for a while. */
  function keepLater({ text, fresh }) {
    if (!keeping || !text) return;
    if (fresh && mine) mine.another = true;
    keepingSince ??= performance.now();
    clearTimeout(keepTimer);
    keepTimer = setTimeout(keepNow, performance.now() - keepingSince > 1000 ? 0 : 600);
  }

  async function keepNow() {
    clearTimeout(keepTimer);
    while (writing) await writing;
    if (!keeping || keepingSince === undefined) return;
    keepingSince = undefined;
    writing = write(work).then(() => '', (error) => {
      console.warn(error);
      return { QuotaExceededError: 'full', TooLarge: 'large' }[error?.name] ?? 'refused';
    }).finally(() => { writing = null; });
    const why = await writing;
    if (why === notKept) return;
    notKept = why;
    tell({ kept: { text: why } });
  }

  async function write({ files: numbers, text, own }) {
    if (!text) return;
    // another work does not take the place of one in which a person did something
    if (mine?.another && mine.own) {
      mine.release?.();
      mine = null;
      takenAt = 0;
    }
    if (!mine) await takeNew();
    mine.another = false;
    mine.own = own;
    if (bytesOf(numbers) > MOST_KEPT) throw Object.assign(new Error('more than is kept'), { name: 'TooLarge' });
    const items = numbers.slice(0, JSON.parse(text).files.length).map((number) => ({ number, item: files.get(number) }));
    const fresh = [];
    for (const { number, item } of items) {
      if (!item || item.stored?.startsWith(mine.id)) continue;
      const whole = fromCore(number);
      const bytes = await packed(whole.stream).catch((error) => { if (!whole.gone) throw error; });
      // the next state is about to come
      if (!bytes) return;
      fresh.push({ item, row: { id: `${mine.id}/${Math.random()}`, bytes, packed: packs } });
    }
    if (items.some(({ item }) => !item)) return;
    const ids = items.map(({ item }) => fresh.find((one) => one.item === item)?.row.id ?? item.stored);
    const opened = await openDatabase();
    const transaction = opened.transaction(['works', 'files'], 'readwrite', { durability: 'strict' });
    const ended = new Promise((resolve, reject) => {
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error || new Error('aborted'));
    });
    const [works, store] = ['works', 'files'].map((name) => transaction.objectStore(name));
    for (const { row } of fresh) store.put(row);
    works.put({ id: mine.id, at: Date.now(), text, files: ids, taken: takenAt });
    store.getAllKeys(IDBKeyRange.bound(`${mine.id}/`, `${mine.id}0`)).onsuccess = ({ target }) => {
      for (const id of target.result) if (!ids.includes(id)) store.delete(id);
    };
    await ended;
    for (const { item, row } of fresh) item.stored = row.id;
    sessionStorage.setItem('farheard-work', mine.id);
    root.dataset.kept = text.length;
  }

  /** Empties every store of this page; other pages that are open keep nothing any more either. */
  async function forgetWorks() {
    keeping = false;
    clearTimeout(keepTimer);
    keepingSince = undefined;
    await writing;
    const opened = await database?.catch(() => null);
    opened?.close();
    database = undefined;
    mine?.release?.();
    mine = null;
    takenAt = 0;
    for (const item of files.values()) delete item.stored;
    delete root.dataset.kept;
    try {
      sessionStorage.removeItem('farheard-work');
      await done(indexedDB.deleteDatabase('farheard'));
      await done(indexedDB.deleteDatabase(CORE));
    } catch (error) {
      console.warn(error);
    }
    tellTaken();
    root.dataset.forgotten = 'yes';
  }

  addEventListener('storage', ({ key, newValue }) => {
    // another page was told to forget everything
    if (key === KEPT && newValue === null && keeping) act('keep', 'forget-all');
  });
  addEventListener('pagehide', keepNow);
  addEventListener('visibilitychange', () => { if (document.hidden) keepNow(); });

  /** How long ago something was, in words. */
  function ago(time) {
    if (!time) return 'never';
    const minutes = Math.floor((Date.now() - time) / 6e4);
    if (minutes < 1) return 'just now';
    const [n, unit] = minutes < 60 ? [minutes, 'minute'] : minutes < 1440 ? [Math.floor(minutes / 60), 'hour'] : [Math.floor(minutes / 1440), 'day'];
    return `${n} ${unit}${n === 1 ? '' : 's'} ago`;
  }

  function tellTaken() {
    const words = ago(takenAt);
    for (const place of document.querySelectorAll('[data-work-file]')) {
      if (place.textContent !== words) place.textContent = words;
    }
  }

  /** The list of works that are kept, each to be opened or forgotten. */
  async function listKept() {
    const works = await keptWorks().catch(() => []);
    const locks = await navigator.locks?.query().catch(() => null);
    const open = (locks?.held ?? []).map(({ name }) => name);
    const rows = works.map((kept) => {
      const row = document.createElement('li');
      const words = document.createElement('span');
      let damaged = false;
      try {
        const told = JSON.parse(kept.text);
        words.textContent = `${told.tested?.call ?? ''}: ${told.read?.spots ?? 0} spots in ${told.files.length === 1 ? "one file" : `${told.files.length} files`}, ${(told.runs ?? []).map(({ name }) => name).join(', ')}; kept ${ago(kept.at)}, last work file: ${ago(kept.taken)}`;
      } catch {
        damaged = true;
        words.textContent = 'Work that cannot be read any more';
      }
      row.append(words);
      const button = (label, work) => {
        const control = document.createElement('button');
        Object.assign(control, { type: 'button', className: 'btn quiet small', textContent: label });
        control.addEventListener('click', () => work().catch((error) => announce(`That failed: ${error.message}`)));
        row.append(' ', control);
      };
      if (kept.id === mine?.id) words.textContent += '; open here';
      else if (open.includes(`farheard ${kept.id}`)) words.textContent += '; open in another tab';
      else {
        if (!damaged) button('Open', () => openKept(kept));
        button('Forget', () => forgetOne(kept));
      }
      return row;
    });
    if (!rows.length) {
      rows.push(document.createElement('li'));
      rows[0].textContent = 'No work.';
    }
    $('kept-list').replaceChildren(...rows);
  }

  async function openKept(kept) {
    $('kept').close();
    const release = await hold(kept.id);
    if (!release) return listKept();
    try {
      const items = await filesOf(kept);
      await keepNow();
      mine?.release?.();
      own(kept, release);
      take(items, 'again', kept.text);
    } catch (error) {
      release();
      throw error;
    }
  }

  async function forgetOne({ id }) {
    const transaction = (await openDatabase()).transaction(['works', 'files'], 'readwrite');
    transaction.objectStore('works').delete(id);
    await done(transaction.objectStore('files').delete(IDBKeyRange.bound(`${id}/`, `${id}0`)));
    await listKept();
    $('kept').querySelector('button').focus();
  }

  /** Brings the children of an element up to date. Elements with an id stay the same elements. */
  function morphChildren(from, to) {
    const wanted = new Set(Array.from(to.children, (child) => child.id).filter(Boolean));
    let at = from.firstChild;
    for (const want of Array.from(to.childNodes)) {
      let have = null;
      if (want.id) {
        have = Array.from(from.children).find((child) => child.id === want.id && child.tagName === want.tagName) || null;
        while (have && at !== have && !(at.id && wanted.has(at.id))) {
          const gone = at;
          at = at.nextSibling;
          gone.remove();
        }
      } else if (at && !at.id && at.nodeType === want.nodeType && at.nodeName === want.nodeName) {
        have = at;
      }
      if (!have) {
        from.insertBefore(document.importNode(want, true), at);
      } else {
        if (have === at) at = at.nextSibling;
        else from.insertBefore(have, at);
        morph(have, want);
      }
    }
    while (at) {
      const gone = at;
      at = at.nextSibling;
      gone.remove();
    }
  }

  function morph(have, want) {
    if (have.nodeType !== 1) {
      if (have.nodeValue !== want.nodeValue) have.nodeValue = want.nodeValue;
      return;
    }
    // what a person typed or chose is not in the attributes
    const fields = 'input, select, textarea';
    if (have.isEqualNode(want) && !have.matches(fields) && !have.querySelector(fields)) return;
    const typing = have === document.activeElement && have.matches('input, textarea');
    for (const { name, value } of Array.from(want.attributes)) {
      if (have.getAttribute(name) !== value) have.setAttribute(name, value);
    }
    for (const { name } of Array.from(have.attributes)) {
      // sizes of canvases, places of handles and what is unfolded are settled here, not by the core
      if (!want.hasAttribute(name) && !['style', 'width', 'height', 'open'].includes(name)) have.removeAttribute(name);
    }
    if (have.tagName === 'INPUT' && !typing && have.value !== want.value) have.value = want.value;
    morphChildren(have, want);
    if (have.tagName === 'SELECT') have.value = want.value;
  }

  // ---- tables are sorted where they stand, by a press on a heading ------------------------------------------------

  const sortedBy = new WeakMap(); // by table: { head, column, down }

  /** Makes the heads of plain tables buttons, and brings back the order a person chose. Rows beside a plot stay by it. */
  function makeSortable() {
    for (const table of document.querySelectorAll('main table:not(.spots, .plot-table table)')) {
      const heads = table.tHead?.rows.length === 1 ? Array.from(table.tHead.rows[0].cells) : [];
      const rows = Array.from(table.tBodies[0]?.rows || []);
      if (rows.length < 3 || rows.some(({ cells }) => cells.length !== heads.length)) continue;
      if (heads.some((head) => head.querySelector(':not(br, [data-page="sort"])'))) continue;
      for (const head of heads) {
        if (head.firstElementChild?.dataset.page || !head.textContent) continue;
        const button = document.createElement('button');
        button.type = 'button';
        button.dataset.page = 'sort';
        button.append(...head.childNodes);
        head.append(button);
        // one tab stop a table; arrows go from heading to heading
        button.tabIndex = table.tHead.querySelector('[tabindex="0"]') ? -1 : 0;
      }
      const chosen = sortedBy.get(table);
      if (chosen && heads[chosen.column]?.textContent === chosen.head) sortTable(table, chosen);
    }
  }

  // in hours, and in metres
  const UNITS = { min: 1 / 60, day: 24, days: 24, cm: 0.01, mm: 0.001 };
  /** A cell as a number: a time of day with its date, or a figure with its unit. */
  function figureOf(text) {
    const clock = text.match(/[a-z]{3}.* (\d\d:\d\d)/i);
    if (clock) return Date.parse(`${text.slice(0, text.indexOf(clock[1])).replace(/(\d)([a-z])/i, '$1 $2').replace(/([a-z])(\d)/i, '$1 $2')} 2000 ${clock[1]} UTC`);
    return parseFloat(text.replace(decimalMark, '.')) * (UNITS[text.match(/[a-z]*$/)[0]] ?? 1);
  }

  /** Cells that hold figures by value, others by letter; cells without anything come last. */
  function sortTable(table, { column, down }) {
    const body = table.tBodies[0];
    const keyed = Array.from(body.rows, (row) => {
      const text = row.cells[column].textContent.replace(/[\u202f\u00a0]/g, '').replace('\u2212', '-').trim();
      return { row, text, figure: figureOf(text) };
    });
    const missing = ({ text }) => text === '' || text === '\u2013';
    const figures = keyed.every((key) => missing(key) || !Number.isNaN(key.figure));
    const compare = (a, b) => (figures ? a.figure - b.figure : a.text.localeCompare(b.text, undefined, { numeric: true }));
    keyed.sort((a, b) => missing(a) - missing(b) || (missing(a) ? 0 : compare(a, b) * (down ? -1 : 1)));
    body.append(...keyed.map(({ row }) => row));
    const head = table.tHead.rows[0].cells[column];
    table.tHead.querySelector('[aria-sort]')?.removeAttribute('aria-sort');
    head.setAttribute('aria-sort', down ? 'descending' : 'ascending');
  }

  /** Places what markup may not place under the page's policy. */
  function place() {
    for (const handle of document.querySelectorAll('[data-left]')) {
      handle.style.left = `calc(8px + (100% - 16px) * ${handle.dataset.left})`;
    }
    for (const box of document.querySelectorAll('[data-height]')) box.style.height = `${box.dataset.height}px`;
    showMark();
    const menu = document.querySelector('.f.open .menu');
    if (menu) {
      // hangs from whichever side keeps it in the window
      menu.classList.remove('from-right');
      const { right, width } = menu.getBoundingClientRect();
      if (right > root.clientWidth - 8 && width < right) menu.classList.add('from-right');
    }
  }

  let marked = '';
  /** Marks the control that the tour tells of, and brings it into sight once. */
  function showMark() {
    const id = document.querySelector('#notice [data-mark]')?.dataset.mark || '';
    const target = $(id);
    for (const other of document.querySelectorAll('.told-of')) if (other !== target) other.classList.remove('told-of');
    target?.classList.add('told-of');
    if (marked === id || (id && !target)) return;
    marked = id;
    // whatever comes into sight comes below the strip, what is focused too
    root.style.scrollPaddingTop = id && innerHeight >= 480 ? `${$('notice').offsetHeight + 12}px` : '';
    if (!target) return;
    // after what else this answer of the core moves
    setTimeout(() => target.scrollIntoView({ block: 'nearest' }));
  }

  let said;
  function announce(text) {
    clearTimeout(said);
    said = setTimeout(() => { $('live').textContent = text; }, 250);
  }

  async function copy(text) {
    try {
      await navigator.clipboard.writeText(text);
    } catch {
      const area = document.createElement('textarea');
      area.value = text;
      area.className = 'unseen';
      document.body.append(area);
      area.select();
      document.execCommand('copy');
      area.remove();
    }
  }

  // ---- canvases --------------------------------------------------------------------------------------------------

  const adopted = new Map(); // picture -> canvas
  const sizes = new ResizeObserver((entries) => entries.forEach(({ target }) => tellSize(target)));

  function tellSize(canvas) {
    const { width, height } = canvas.getBoundingClientRect();
    tell({ size: { picture: canvas.dataset.picture, width, height, ratio: devicePixelRatio || 1 } });
  }

  function adoptCanvases() {
    if (!ready) return;
    for (const [picture, canvas] of adopted) {
      if (canvas.isConnected) continue;
      adopted.delete(picture);
      sizes.unobserve(canvas);
      send({ kind: 'attach', picture });
      tell({ size: { picture, width: 0, height: 0, ratio: 1 } });
    }
    for (const canvas of document.querySelectorAll('canvas[data-picture]')) {
      const { picture } = canvas.dataset;
      if (adopted.get(picture) === canvas) continue;
      adopted.set(picture, canvas);
      if (inPage) {
        send({ kind: 'attach', picture, canvas });
      } else {
        const offscreen = canvas.transferControlToOffscreen();
        send({ kind: 'attach', picture, canvas: offscreen }, [offscreen]);
      }
      canvas.addEventListener('wheel', wheel, { passive: false });
      sizes.observe(canvas);
    }
  }

  function watchRatio() {
    matchMedia(`(resolution: ${devicePixelRatio}dppx)`).addEventListener('change', () => {
      adopted.forEach(tellSize);
      watchRatio();
    }, { once: true });
  }

  // ---- events of a kind that comes in floods: only the latest counts ----------------------------------------------

  const latest = new Map();
  let busy = false;
  function tellLatest(key, event) {
    const before = latest.get(key)?.pointer;
    const { pointer } = event;
    if (before && pointer.gesture === 'drag') {
      pointer.dx += before.dx;
      pointer.dy += before.dy;
    }
    if (before && pointer.gesture === 'zoom') pointer.by *= before.by;
    latest.set(key, event);
    if (!busy) pump();
  }

  let rest;
  /** The rest of the page follows when the hand rests. */
  function settleIn(ms) {
    clearTimeout(rest);
    rest = setTimeout(() => tell('settled'), ms);
  }

  async function pump() {
    busy = true;
    while (latest.size) {
      await new Promise(requestAnimationFrame);
      for (const [key, event] of Array.from(latest)) {
        latest.delete(key);
        await tell(event);
        if ((event.act || event.pointer).passing) settleIn(120);
      }
    }
    busy = false;
  }

  // ---- pointer over pictures --------------------------------------------------------------------------------------

  const pointers = new Map();
  let moved = false;

  function at(event, canvas) {
    const box = canvas.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  }

  function gesture(canvas, name, place, more) {
    const { picture } = canvas.dataset;
    return { pointer: { picture, gesture: name, x: place.x, y: place.y, dx: 0, dy: 0, by: 1, touch: false, ...more } };
  }

  function wheel(event) {
    if (!event.ctrlKey && !event.metaKey) return;
    event.preventDefault();
    const canvas = event.currentTarget;
    const by = Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.002));
    tellLatest('zoom', gesture(canvas, 'zoom', at(event, canvas), { by, passing: true }));
  }

  const pictureOf = (event) => event.target.closest?.('canvas[data-picture]');

  document.addEventListener('pointerdown', (event) => {
    const canvas = pictureOf(event);
    if (!canvas || event.button > 0) return;
    pointers.set(event.pointerId, { canvas, ...at(event, canvas) });
    moved = pointers.size > 1;
    if (event.pointerType === 'mouse') canvas.setPointerCapture(event.pointerId);
  });

  document.addEventListener('pointermove', (event) => {
    const held = pointers.get(event.pointerId);
    const canvas = held ? held.canvas : pictureOf(event);
    if (!canvas) return;
    const here = at(event, canvas);
    if (!held) {
      if (event.pointerType !== 'touch') tellLatest('over', gesture(canvas, 'over', here));
      return;
    }
    const others = Array.from(pointers.values()).filter((one) => one !== held);
    if (others.length === 1) {
      const [other] = others;
      const spread = (place) => Math.hypot(place.x - other.x, place.y - other.y) || 1;
      const middle = { x: (here.x + other.x) / 2, y: (here.y + other.y) / 2 };
      tellLatest('zoom', gesture(canvas, 'zoom', middle, { by: spread(here) / spread(held), touch: true, passing: true }));
      Object.assign(held, here);
    } else if (moved || Math.hypot(here.x - held.x, here.y - held.y) > 5) {
      moved = true;
      if (event.pointerType !== 'touch') {
        tellLatest('drag', gesture(canvas, 'drag', here, { dx: here.x - held.x, dy: here.y - held.y, passing: true }));
      }
      Object.assign(held, here);
    }
  });

  document.addEventListener('pointerup', (event) => {
    const held = pointers.get(event.pointerId);
    if (!held) return;
    pointers.delete(event.pointerId);
    if (moved) return;
    tell(gesture(held.canvas, 'press', at(event, held.canvas), { touch: event.pointerType !== 'mouse' }));
  });

  document.addEventListener('pointercancel', (event) => pointers.delete(event.pointerId));

  document.addEventListener('pointerout', (event) => {
    const canvas = pictureOf(event);
    if (canvas && !pointers.size) tellLatest('over', gesture(canvas, 'leave', at(event, canvas)));
  });

  // ---- the handles of the time strip ------------------------------------------------------------------------------

  function slide(handle, minutes) {
    const { act } = handle.dataset;
    tellLatest(act, { act: { act, value: String(minutes), passing: true } });
  }

  const slider = (handle) => ({
    least: Number(handle.getAttribute('aria-valuemin')),
    most: Number(handle.getAttribute('aria-valuemax')),
    now: Number(handle.getAttribute('aria-valuenow')),
    step: Number(handle.closest('.strip').dataset.step),
  });

  /** The minute of a strip that lies under the pointer, on a whole step. */
  function minuteAt(strip, event) {
    const box = strip.getBoundingClientRect();
    const { step, end } = strip.dataset;
    const share = Math.min(Math.max((event.clientX - box.left - 8) / (box.width - 16), 0), 1);
    return Math.round((share * end) / step) * step;
  }

  document.addEventListener('pointerdown', (event) => {
    const strip = event.target.closest?.('.strip');
    if (!strip || event.button > 0) return;
    const handle = event.target.closest('.handle');
    const { drawn } = strip.dataset;
    if (!handle && !drawn) return;
    const held = handle || strip;
    const began = minuteAt(strip, event);
    if (handle) {
      event.preventDefault();
      handle.focus();
      handle.setPointerCapture(event.pointerId);
    }
    const follow = (move) => {
      const minute = minuteAt(strip, move);
      if (handle) {
        const { least, most } = slider(handle);
        slide(handle, Math.min(Math.max(minute, least), most));
      } else if (minute !== began) {
        const value = `${Math.min(began, minute)}..${Math.max(began, minute)}`;
        tellLatest(drawn, { act: { act: drawn, value, passing: true } });
      }
    };
    const stop = () => {
      held.removeEventListener('pointermove', follow);
      held.removeEventListener('pointerup', stop);
      held.removeEventListener('pointercancel', stop);
    };
    held.addEventListener('pointermove', follow);
    held.addEventListener('pointerup', stop);
    held.addEventListener('pointercancel', stop);
  });

  function slideByKey(handle, key) {
    const { least, most, now, step } = slider(handle);
    const to = {
      ArrowLeft: now - step, ArrowDown: now - step, ArrowRight: now + step, ArrowUp: now + step,
      PageDown: now - 6 * step, PageUp: now + 6 * step, Home: least, End: most,
    }[key];
    if (to === undefined) return false;
    slide(handle, Math.min(Math.max(to, least), most));
    return true;
  }

  // ---- controls -----------------------------------------------------------------------------------------------------

  /** What a person does. Of what is done while the core comes back nothing is lost. */
  function act(name, value = '', shift = false, passing = false) {
    const now = () => tell({ act: { act: name, value, shift, passing } });
    return settling ? settling.then(now) : now();
  }

  /** Bands are chosen one after the other: each shows on the picture at once, and in the rest of the page a frame later. */
  async function actQuickly(name, value, shift) {
    await act(name, value, shift, true);
    settleIn(20);
  }

  function openMenu() {
    return document.querySelector('.f.open, #sheet .sheet-in');
  }

  document.addEventListener('click', (event) => {
    const control = event.target.closest?.('[data-page], button[data-act]');
    const menu = openMenu();
    if (menu && !menu.contains(event.target) && !control?.matches('[data-act="open"], #thumb button')) act('fold');
    if (!control || control.disabled) return;
    const { page, act: name, value } = control.dataset;
    if (page) pageActs[page]?.(control);
    else (name === 'band' ? actQuickly : act)(name, value, event.shiftKey);
  });

  // what has the focus is never covered: a menu goes when the focus leaves it
  document.addEventListener('focusin', ({ target }) => {
    const menu = openMenu();
    if (menu && !menu.contains(target) && !target.closest('#thumb')) act('fold');
  });

  document.addEventListener('change', (event) => {
    const { act: name, carry } = event.target.dataset || {};
    if (event.target.id === 'choose') {
      const files = Array.from(event.target.files);
      event.target.value = ''; // so that the same file can be chosen again
      take(files.map((file) => ({ name: file.name, file })));
    } else if (name) {
      const { value } = event.target;
      act(name, carry === undefined ? value : `${carry}:${value}`);
    }
  });

  document.addEventListener('input', (event) => {
    const { act: name, live } = event.target.dataset || {};
    if (live) tellLatest(name, { act: { act: name, value: event.target.value, shift: false } });
  });

  document.addEventListener('submit', (event) => {
    const form = event.target;
    if (form.method === 'dialog') return;
    event.preventDefault();
    act(form.dataset.act, new FormData(form).get('value') || '');
  });

  const PICTURE_KEYS = ['ArrowUp', 'ArrowDown', 'ArrowLeft', 'ArrowRight', 'Home', 'End', 'Enter', ' ', 'Escape', '+', '=', '-', '0', 'v'];

  document.addEventListener('keydown', (event) => {
    if (event.altKey || document.querySelector('dialog[open]')) return;
    const { target, key } = event;
    if (event.ctrlKey || event.metaKey) {
      if (key.toLowerCase() === 'p' && !event.shiftKey) {
        event.preventDefault();
        printOut();
        return;
      }
      // within a field these keys are the browser's: they take back what was typed
      const letter = key.toLowerCase();
      if (target.matches?.('input, textarea') || !'zy'.includes(letter)) return;
      event.preventDefault();
      act(letter === 'y' || event.shiftKey ? 'redo-step' : 'undo-step');
      return;
    }
    const typing = target.matches?.('input, textarea, select');
    if (key === 'Enter' && target.matches?.('input[data-act]')) {
      target.dispatchEvent(new Event('change', { bubbles: true }));
      event.preventDefault();
    } else if (key === '?' && !typing) {
      $('keys').showModal();
    } else if (target.matches?.('canvas[data-picture]') && PICTURE_KEYS.includes(key)) {
      event.preventDefault();
      tell({ key: { picture: target.dataset.picture, key } });
    } else if (target.matches?.('[data-page="sort"]') && (key === 'ArrowLeft' || key === 'ArrowRight')) {
      const heads = Array.from(target.closest('tr').querySelectorAll('[data-page="sort"]'));
      const next = heads[heads.indexOf(target) + (key === 'ArrowRight' ? 1 : -1)];
      if (!next) return;
      [target.tabIndex, next.tabIndex] = [-1, 0];
      next.focus();
      event.preventDefault();
    } else if (target.matches?.('.handle') && slideByKey(target, key)) {
      event.preventDefault();
    } else if (key === 'Escape') {
      act('escape');
    } else if ((key === 'ArrowDown' || key === 'ArrowUp') && !typing) {
      walkMenu(event, key === 'ArrowDown' ? 1 : -1);
    }
  });

  function walkMenu(event, by) {
    const menu = event.target.closest?.('.f.open, .part.open');
    if (!menu) return;
    event.preventDefault();
    const stops = Array.from(menu.querySelectorAll('button, input')).filter((stop) => stop.offsetParent);
    const next = stops[stops.indexOf(event.target) + by];
    next?.focus();
  }

  const pageActs = {
    choose: () => $('choose').click(),
    cancel: () => cancel(),
    sample: () => showSample(),
    sort(control) {
      const table = control.closest('table');
      const head = control.closest('th');
      const column = head.cellIndex;
      const before = sortedBy.get(table);
      const again = before?.column === column && before.head === head.textContent;
      // names from the first on, figures from the greatest
      const chosen = { head: head.textContent, column, down: again ? !before.down : column > 0 };
      sortedBy.set(table, chosen);
      sortTable(table, chosen);
      announce(`Sorted by ${head.innerText.replace(/\s+/g, ' ')}, ${chosen.down ? 'descending' : 'ascending'}.`);
    },
    print: () => printOut(),
    words: () => $('terms').showModal(),
    async kept() {
      await listKept();
      $('kept').showModal();
    },
    forget() {
      $('kept').close();
      act('keep', 'forget');
    },
    keys: () => $('keys').showModal(),
    check: () => $('check').showModal(),
    /** The tables of a section for other programs: cells parted by tabs, plain minus, no spaces between thousands. */
    async copy(control) {
      const rows = Array.from(control.closest('section').querySelectorAll('tr'), ({ cells }) => (
        Array.from(cells, (cell) => cell.innerText.replaceAll('\u202f', '').replace(/\s+/g, ' ').replaceAll('\u2212', '-').trim()).join('\t')));
      await copy(`${rows.join('\n')}\n`);
      control.focus();
      announce(`${rows.length} rows copied, with their heads.`);
    },
    paste() {
      $('paste-text').value = '';
      $('paste').showModal();
    },
  };

  $('paste').addEventListener('close', () => {
    const text = $('paste-text').value;
    if ($('paste').returnValue === 'read' && text.trim()) take([{ name: 'pasted rows', text }]);
    $('paste').returnValue = '';
  });

  // ---- files come in ------------------------------------------------------------------------------------------------

  let queue;
  /** Takes files of one drop, choice or paste; they are read when the core is there and has read those before. */
  function take(items, origin = 'person', text = '') {
    if (!items.length) return;
    // what was kept comes before what is dropped on a page that has hardly begun
    if (!queue) {
      prepared.then(() => take(items, origin, text));
      return;
    }
    queue = queue.then(() => read(items, origin, text)).catch((error) => console.warn(error));
  }

  const notReadable = (name, error) => tell({ unreadable: { name, text: String(error?.message || error) } });

  const sample = { shown: false };
  async function showSample() {
    const blocks = Array.from(document.querySelectorAll('script.sample'));
    take(blocks.map((block) => ({ name: block.dataset.name, packed: block.id })), 'sample');
  }

  const freshReading = (name) => ({ name, cancelled: false, shown: performance.now() + 120, done: 0, total: 0, helpers: [], room: [], parts: [] });

  /** Takes on other workers for a large file, where there are cores for it, and room for two parts for each. */
  function hire(now) {
    const count = inPage || !module ? 0 : Math.min(navigator.hardwareConcurrency || 1, 4) - 1;
    for (let at = 0; at < count; at += 1) {
      const helper = { worker: coreInWorker() };
      now.helpers.push(helper);
      helper.worker.onmessage = ({ data }) => helper.end?.(data.parts?.[0]);
      helper.worker.onerror = () => {
        now.helpers = now.helpers.filter((other) => other !== helper);
        helper.end?.();
      };
    }
    // the core reads a stretch itself, then come parts for all helpers, and so on
    for (let at = 0; at < 2 * count; at += 1) now.room.push({ bytes: new Uint8Array(6e6), own: at % count ? 0 : 4e6 });
  }

  function endHelpers(now) {
    for (const { worker, end } of now.helpers) {
      worker.terminate();
      end?.();
    }
  }

  /** Gives idle helpers the parts that wait longest. */
  function handOut(now) {
    for (const helper of now.helpers) {
      const part = !helper.end && now.parts.find(({ back }) => !back);
      if (part) {
        part.back = new Promise((resolve) => {
          helper.end = (back) => {
            helper.end = null;
            resolve(back);
            handOut(now);
          };
        });
        helper.worker.postMessage({ kind: 'errand', module, part: { ...part, back: null } }, [part.bytes.buffer]);
      }
    }
  }

  /** `text` is the work that they belong to, where they were here before. */
  async function read(items, origin, text = '') {
    const total = items.reduce((sum, item) => sum + (item.file?.size || 0), 0);
    const now = { ...freshReading(items[0].name), total };
    reading = now;
    // they are there when the plan is made
    try {
      if (total > 16e6) hire(now);
    } catch { /* then the core reads all of it */ }
    await readAll(now, items, origin, text).finally(() => endHelpers(now));
  }

  async function readAll(now, items, origin, text) {
    const came = [];
    for (const item of items) {
      now.name = item.name;
      try {
        const number = await readOne(item, now);
        if (number === undefined && !now.refused) return;
        if (now.refused) now.refused = false;
        else came.push([number, now.cut ? null : item]);
        now.cut = false;
      } catch (error) {
        send({ kind: 'drop' });
        await notReadable(item.name, error);
      }
    }
    showProgress(now);
    // what is left of an archive is taken from the core
    for (const [number, item] of came) if (item) files.set(number, item);
    if (!came.length && reading === now) {
      reading = null;
      hideProgress();
      return;
    }
    await tell({ 'files-done': { origin, work: text } });
    if (reading === now) {
      reading = null;
      hideProgress();
    }
  }

  const goesOn = ({ patches: list }) => list.some(({ kind }) => kind === 'progress');

  let stepBytes = 4e6;
  /** Has the core read on, a stretch at a time, so that it has time for other things in between. */
  async function readOn() {
    const now = reading;
    now.began = performance.now();
    let part;
    for (;;) {
      if (now.cancelled || reading !== now) return;
      showProgress(now);
      const before = performance.now();
      const room = now.planned ? now.room.splice(0) : [];
      // with helpers a step ends where a part begins
      const size = now.parts.length ? 3e7 : Math.round(stepBytes);
      const answer = await send(
        { kind: 'read', event: { kind: 'read-on', size }, part, room },
        [part, ...room].flatMap((it) => (it ? [it.bytes.buffer] : [])),
      );
      if (!answer) return;
      applyAll(answer.patches);
      if (!goesOn(answer)) break;
      // a stretch takes about a tenth of a second: short enough for Cancel, long enough to be quick; the first one of
      // a file only makes the plan
      if (now.planned && !now.parts.length) stepBytes = Math.min(Math.max((stepBytes * 80) / (performance.now() - before + 1), 2e5), 3e7);
      now.planned = true;
      now.parts.push(...answer.parts.filter(({ from }) => from !== undefined));
      handOut(now);
      part = undefined;
      if (answer.waits !== undefined) {
        const [known] = now.parts.splice(now.parts.findIndex(({ from }) => from === answer.waits), 1);
        // without a helper's answer the core reads the part itself
        const late = new Promise((resolve) => { setTimeout(resolve, 5000); });
        part = (await (known.back && Promise.race([known.back, late]))) || { ...known, back: null, length: 0, bytes: known.back ? new Uint8Array() : known.bytes };
      }
    }
    if (reading === now) {
      reading = null;
      hideProgress();
    }
  }

  /** So many chunks may be on their way to the core. */
  const AHEAD = 4;

  /** Hands one file to the core, chunk by chunk. Gives its number; none if that was cancelled or the core stopped. */
  async function readOne(item, now) {
    const give = async (bytes) => {
      const own = bytes.byteLength === bytes.buffer.byteLength ? bytes : bytes.slice();
      now.done += own.byteLength;
      return took(await send({ kind: 'chunk', bytes: own }, [own.buffer]));
    };
    const took = async (answer) => {
      if (!answer || now.cancelled) return false;
      applyAll(answer.patches);
      showProgress(now);
      await now.asks;
      return !now.refused && !now.cancelled;
    };
    const size = item.file ? item.file.size : 0;
    if (!(await send({ kind: 'begin', name: item.name, size }))) return undefined;
    if (item.file) {
      const reader = item.file.stream().getReader();
      let left = size;
      // the disk goes on while the core takes a few
      const given = [];
      for (;;) {
        const { done, value } = await reader.read();
        if (done && !given.length) break;
        if (!done) {
          left -= value.length;
          given.push(give(value));
        }
        if ((done || given.length >= AHEAD) && !(await given.shift())) {
          reader.cancel();
          return undefined;
        }
      }
      // of a file that changed meanwhile a part may have come without a word: asked once more, the browser notices
      await item.file.slice(0, 1).arrayBuffer();
      if (left) throw new Error('it changed while it was read');
    } else if (item.packed) {
      if (!(await took(await send({ kind: 'packed', text: textOf(item.packed) })))) return undefined;
    } else if (item.block) {
      if (!(await give(fromText(textOf(item.block))))) return undefined;
    } else if (!(await give(new TextEncoder().encode(item.text)))) {
      return undefined;
    }
    const ended = await send({ kind: 'end' });
    if (ended) applyAll(ended.patches);
    return ended?.number;
  }

  const cancel = () => settle(endReading());
  async function endReading() {
    const now = reading;
    if (!now) return;
    now.cancelled = true;
    now.answered?.();
    endHelpers(now);
    reading = null;
    hideProgress();
    send({ kind: 'drop' });
    const answered = tell('cancelled').then(() => true);
    const late = new Promise((resolve) => { setTimeout(resolve, 150, false); });
    // a core in the middle of something long is replaced by another one, which gets the same files
    if (!inPage && !(ready && (await Promise.race([answered, late])))) {
      reading = now;
      await restart('cancelled');
    }
    announce('Reading was cancelled.');
  }

  const megabytes = (bytes) => (bytes < 995e3 ? `${Math.ceil(bytes / 1e3)} kB` : `${(bytes / 1e6).toFixed(bytes < 9.95e6 ? 1 : 0).replace('.', decimalMark)} MB`);

  let progressTimer;
  function showProgress(now) {
    let words = `${megabytes(now.done)} of ${megabytes(Math.max(now.total, now.done))}`;
    let share = now.total ? now.done / now.total : 1;
    if (now.words) {
      ({ words, share } = now);
      const left = ((performance.now() - now.began) * (1 - share)) / share / 1000;
      if (share > 0.05 && left > 1) words += `, about ${Math.round(left)} s more`;
    }
    if (now.silent) words = 'the core has said nothing for 15 seconds; the browser may have ended it';
    $('progress-what').textContent = now.name ? 'Reading' : 'Waiting:';
    $('progress-words').textContent = now.name ? `${now.name}: ${words}` : words;
    $('progress-line').style.width = `${Math.min(100, 100 * share)}%`;
    if (progressTimer === undefined) {
      progressTimer = setTimeout(() => { $('progress').hidden = reading === null; }, Math.max(0, now.shown - performance.now()));
    }
  }

  function hideProgress() {
    clearTimeout(progressTimer);
    progressTimer = undefined;
    $('progress').hidden = true;
  }

  // ---- drop and paste, anywhere and at any time -----------------------------------------------------------------------

  const hasFiles = (transfer) => Array.from(transfer?.types || []).includes('Files');
  let over = 0;

  addEventListener('dragenter', (event) => {
    if (!hasFiles(event.dataTransfer)) return;
    over += 1;
    root.dataset.dragging = 'yes';
  });
  addEventListener('dragleave', (event) => {
    if (!hasFiles(event.dataTransfer)) return;
    over -= 1;
    if (over <= 0) endDrag();
  });
  addEventListener('dragover', (event) => {
    if (!hasFiles(event.dataTransfer) && event.target.matches?.('input, textarea')) return;
    // whatever is dropped, the page stays
    event.preventDefault();
    event.dataTransfer.dropEffect = 'copy';
  });
  addEventListener('drop', async (event) => {
    const transfer = event.dataTransfer;
    endDrag();
    if (hasFiles(transfer)) {
      event.preventDefault();
      const files = await droppedFiles(transfer);
      for (const { name, error } of files) if (error) await notReadable(name, error);
      const whole = files.filter(({ error }) => !error);
      if (whole.length) take(whole);
      else if (files.length) return;
      else tell({ 'odd-drop': { text: 'folder' } });
    } else if (!event.target.matches?.('input, textarea')) {
      event.preventDefault();
      const text = transfer.getData('text/plain');
      if (text.includes('\n')) take([{ name: 'dropped rows', text }]);
      else tell({ 'odd-drop': { text: 'other' } });
    }
  });

  function endDrag() {
    over = 0;
    delete root.dataset.dragging;
  }

  /** The files of a drop, those inside folders too. */
  async function droppedFiles(transfer) {
    const items = Array.from(transfer.items || []).filter((item) => item.kind === 'file');
    const entries = items.map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
    const plain = Array.from(transfer.files, (file) => ({ name: file.name, file }));
    if (!entries.some((entry) => entry.isDirectory)) return plain;
    const found = [];
    for (const entry of entries) await walk(entry, found);
    return found;
  }

  async function walk(entry, found) {
    try {
      if (entry.isFile) {
        const file = await new Promise((resolve, reject) => entry.file(resolve, reject));
        found.push({ name: file.name, file });
        return;
      }
      const reader = entry.createReader();
      for (;;) {
        // one call gives at most a hundred entries
        const some = await new Promise((resolve, reject) => reader.readEntries(resolve, reject));
        if (!some.length) return;
        for (const one of some) await walk(one, found);
      }
    } catch (error) {
      found.push({ name: entry.name, error });
    }
  }

  document.addEventListener('paste', (event) => {
    if (event.target.matches?.('input, textarea')) return;
    const files = Array.from(event.clipboardData.files, (file) => ({ name: file.name, file }));
    const text = event.clipboardData.getData('text/plain');
    if (files.length) take(files);
    else if (text.trim()) take([{ name: 'pasted rows', text }]);
  });

  // ---- on paper: the page takes the shape of a sheet, and its pictures are drawn anew, without pixels ----------------

  const SHEET_PX = 718; // A4 between margins of 10 mm
  let paper = false;

  /** Does a condition of the style hold on a sheet? Least and greatest widths are all it asks of one. */
  const holdsOnSheet = (condition) => condition.split(',').some((part) => part.trim() === 'print'
    || Array.from(part.matchAll(/(min|max)-width:\s*([\d.]+)px/g)).every(([, end, px]) => (end === 'min') === (SHEET_PX >= px)));
  const ofWidth = Array.from(document.styleSheets[0].cssRules)
    .filter(({ media }) => /print|-width/.test(media?.mediaText))
    .map(({ media }) => ({ media, screen: media.mediaText, sheet: holdsOnSheet(media.mediaText) ? 'all' : 'not all' }));

  function turn(toPaper) {
    paper = toPaper;
    for (const { media, screen, sheet } of ofWidth) media.mediaText = paper ? sheet : screen;
    document.documentElement.toggleAttribute('data-paper', paper);
    return tell({ surroundings: { surroundings: surroundings() } });
  }

  /** A drawing stands where the canvas stood, as large as it. */
  function putOnPaper(canvas, image) {
    const { width, height } = canvas.getBoundingClientRect();
    image.alt = canvas.getAttribute('aria-label');
    image.className = 'on-paper';
    Object.assign(image.style, { width: `${width}px`, height: `${height}px` });
    canvas.style.display = 'none';
    canvas.after(image);
  }

  async function printOut() {
    if (paper || !document.querySelector('canvas[data-picture]')) {
      print();
      return;
    }
    // pictures tell how large they are one frame after their place has changed
    for (let times = 0; times < 2; times += 1) {
      await turn(true);
      await new Promise(requestAnimationFrame);
      await new Promise(requestAnimationFrame);
    }
    await tell('paper');
    const images = Array.from(document.querySelectorAll('.on-paper'));
    await Promise.all(images.map((image) => image.decode().catch(() => {})));
    // some browsers wait here until it is printed, others go on at once, and some never say that it is
    addEventListener('afterprint', fromPaper);
    print();
    if (paper) for (const name of ['pointerdown', 'keydown']) addEventListener(name, fromPaper);
  }

  function fromPaper() {
    for (const name of ['afterprint', 'pointerdown', 'keydown']) removeEventListener(name, fromPaper);
    for (const image of document.querySelectorAll('.on-paper')) {
      image.previousElementSibling.style.display = '';
      URL.revokeObjectURL(image.src);
      image.remove();
    }
    turn(false);
  }

  // ---- the rest -------------------------------------------------------------------------------------------------------

  let opened = Infinity;
  function countRequests() {
    const entries = performance.getEntriesByType('resource');
    const count = entries.filter(({ name, startTime }) => /^https?:/.test(name) && startTime > opened).length;
    const words = count === 1 ? '1 request' : `${count} requests`;
    for (const place of document.querySelectorAll('[data-requests]')) {
      if (place.textContent !== words) place.textContent = words;
    }
  }

  for (const query of Object.values(queries)) {
    query.addEventListener('change', () => tell({ surroundings: { surroundings: surroundings() } }));
  }

  /** On a web host: the service worker that keeps the page (see sw.js), and files that the system hands over. */
  function offerHosted() {
    if (!hosted || shared || !('serviceWorker' in navigator) || !isSecureContext) return;
    const manifest = document.createElement('link');
    manifest.rel = 'manifest';
    manifest.href = 'manifest.webmanifest';
    document.head.append(manifest);
    const keeper = navigator.serviceWorker;
    const say = (words) => keeper.ready.then((registration) => registration.active.postMessage(words));
    keeper.addEventListener('message', ({ data }) => {
      if (data.newVersion) tell('new-version');
      if (data.files) take(data.files.map((file) => ({ name: file.name, file })));
      if (data.reload) location.reload();
    });
    keeper.register('sw.js').then(() => say('hello')).catch(() => { /* the page works as ever, only not offline */ });
    patches['new-version'] = () => say('use-new-version');
    globalThis.launchQueue?.setConsumer(async ({ files }) => {
      const opened = await Promise.all(files.map((handle) => handle.getFile()));
      take(opened.map((file) => ({ name: file.name, file })));
    });
  }

  let markStarted;
  const isStarted = new Promise((resolve) => { markStarted = resolve; });

  async function prepare() {
    keptBefore();
    const kept = keeping ? await takeKept().catch((error) => console.warn(error)) : null;
    settings ||= kept ? String(JSON.parse(kept.text).view ?? '') : '';
    // what comes in meanwhile comes after what was kept
    queue = isStarted.then(() => (shared ? read([shared], 'shared') : kept && read(kept.items, 'again', kept.text))).catch((error) => console.warn(error));
  }

  // whatever stops it from here on has its own words
  root.dataset.state = 'starting';
  (async () => {
    root.dataset.theme = queries.dark.matches ? 'dark' : 'light';
    try {
      // the core is unpacked meanwhile
      prepared = prepare();
      await start();
      opened = performance.now();
      watchRatio();
      offerHosted();
    } catch (error) {
      fail(`The core did not start (${error?.message || error}).`);
    }
  })();
})();
