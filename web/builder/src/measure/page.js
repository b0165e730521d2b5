// Runs in the page itself before its own script: measures what a person would feel, and hands the figures over.
// The address says of what: ?file=NAME&spots=NUMBER, and &also=memory or &also=handling, and &cores=1 for a machine of one; without a file, of loading alone.
(() => {
  const asked = new URLSearchParams(location.search);
  const spots = asked.get('spots');
  if (asked.has('cores')) Object.defineProperty(navigator, 'hardwareConcurrency', { value: Number(asked.get('cores')) });
  const answers = [];
  const Own = Worker;
  /** A worker whose every message is timed until its answer. */
  window.Worker = class extends Own {
    constructor(...args) {
      super(...args);
      this.sent = [];
      this.addEventListener('message', ({ data }) => {
        if (data.kind === 'panic') return;
        const { name, at } = this.sent.shift();
        // the page's own listener comes next: the answer is there for a person once it has put it in place
        setTimeout(() => answers.push({ name, ms: performance.now() - at }));
      });
    }

    postMessage(message, transfer) {
      // an event is flat, as it crosses: { kind: 'act', act: 'band', value: '20m' }
      const { kind, gesture, act } = message.event ?? message;
      const name = { pointer: gesture, act }[kind] ?? kind;
      this.sent.push({ name, at: performance.now() });
      super.postMessage(message, transfer);
    }
  };

  const frame = () => new Promise(requestAnimationFrame);
  const until = async (holds) => { while (!holds()) await frame(); };
  const byId = (id) => document.getElementById(id);
  const root = document.documentElement;
  const digits = (text) => text.replace(/\D/g, '');

  const rest = (ms) => new Promise((resolve) => { setTimeout(resolve, ms); });

  /** From choosing the file until all of it is read and the page shows it. */
  async function choose() {
    // the bytes of a blob lie with the browser, as those of a file on the disk do, and not in this tab
    const files = new DataTransfer();
    files.items.add(new File([await (await fetch(`/${asked.get('file')}`)).blob()], 'invented.csv'));
    // what the browser does at its own start is over then
    await rest(500);
    const start = performance.now();
    byId('choose').files = files.files;
    byId('choose').dispatchEvent(new Event('change', { bubbles: true }));
    await until(() => digits(byId('count')?.textContent || '') === spots + spots && byId('progress').hidden);
    return performance.now() - start;
  }

  /** 95th percentile. */
  function p95(times) {
    const ms = times.sort((a, b) => a - b);
    return ms.length ? ms[Math.min(ms.length - 1, Math.floor(0.95 * ms.length))] : null;
  }

  /** Of how long it took until the answer to each of these was in place. */
  const answered = (name) => p95(answers.filter((answer) => answer.name === name).map((answer) => answer.ms));

  /** Something done over and over, each time after what it asked for before was answered, and a rest. */
  async function over(name, times, once, last = name, restMs = 0) {
    answers.length = 0;
    for (let time = 0; time < times; time += 1) {
      const before = answers.length;
      once(time);
      await until(() => answers.slice(before).some((answer) => answer.name === last));
      if (restMs) await rest(restMs);
    }
    return answered(name);
  }

  /** Something done in each frame, answered or not: how long the frames of the page become. */
  async function frames(times, once) {
    const lengths = [];
    answers.length = 0;
    let last = await frame();
    for (let time = 0; time < times; time += 1) {
      once(time);
      const now = await frame();
      lengths.push(now - last);
      last = now;
    }
    await until(() => answers.some((answer) => answer.name === 'settled'));
    answers.length = 0;
    return p95(lengths);
  }

  async function handling() {
    const disc = byId('picture-disc');
    const box = disc.getBoundingClientRect();
    const middle = { clientX: box.left + box.width / 2, clientY: box.top + box.height / 2 };
    const pointer = (kind, x) => new PointerEvent(kind, {
      bubbles: true, pointerId: 1, pointerType: 'pen', ...middle, clientX: middle.clientX + x, isPrimary: true,
    });
    const wheel = (deltaY) => new WheelEvent('wheel', { bubbles: true, cancelable: true, ctrlKey: true, deltaY, ...middle });
    const inAndOut = (time) => disc.dispatchEvent(wheel(time % 40 < 20 ? -40 : 40));
    const zoom = await over('zoom', 40, inAndOut);
    const zoomFrame = await frames(80, inAndOut);
    disc.dispatchEvent(wheel(-400));
    await until(() => answers.some((answer) => answer.name === 'zoom'));
    disc.dispatchEvent(pointer('pointerdown', 0));
    disc.dispatchEvent(pointer('pointermove', 10));
    const toAndFro = (time) => disc.dispatchEvent(pointer('pointermove', 20 + 4 * Math.abs((time % 80) - 40)));
    const pan = await over('drag', 40, toAndFro);
    const panFrame = await frames(80, toAndFro);
    disc.dispatchEvent(pointer('pointerup', 200));
    const handle = document.querySelector('[role="slider"]');
    const press = (key) => handle.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true }));
    const brush = await over(handle.dataset.act, 40, () => press('ArrowRight'));
    await until(() => answers.some((answer) => answer.name === 'settled'));
    const after = answered('settled');
    answers.length = 0;
    const brushFrame = await frames(80, (time) => press(time % 40 < 20 ? 'ArrowLeft' : 'ArrowRight'));
    byId('clear-all')?.click();
    await until(() => !byId('clear-all'));
    const bands = document.querySelectorAll('.corner.bands button');
    const chooseBand = (time) => document.querySelectorAll('.corner.bands button')[time % bands.length].click();
    // no hand chooses faster
    const filter = await over('band', 40, chooseBand, 'settled', 100);
    const filterAfter = answered('settled');
    byId('clear-all')?.click();
    await until(() => !byId('clear-all'));
    return { zoom, zoomFrame, pan, panFrame, brush, brushFrame, after, filter, filterAfter };
  }

  /** What it took until the page could be used. */
  async function loading() {
    await until(() => root.dataset.state === 'ready');
    const ready = performance.now();
    await until(() => performance.getEntriesByName('first-contentful-paint').length && answers.some(({ name }) => name === 'start'));
    return {
      ready,
      paint: performance.getEntriesByName('first-contentful-paint')[0].startTime,
      core: answers.find(({ name }) => name === 'start').ms,
    };
  }

  addEventListener('load', async () => {
    let figures;
    try {
      figures = await loading();
      if (!asked.has('file')) {
        // once more in the same browser, where the page has kept its core
        const first = sessionStorage.getItem('first');
        if (!first) {
          sessionStorage.setItem('first', JSON.stringify(figures));
          await until(() => root.dataset.core === 'stored');
          location.reload();
          return;
        }
        figures = { ...JSON.parse(first), coreAgain: figures.core, readyAgain: figures.ready };
      }
      if (asked.has('file')) figures.ms = await choose();
      if (asked.get('also') === 'handling') Object.assign(figures, await handling());
      if (asked.get('also') === 'memory') {
        // by then the page has laid the work away, and given back what reading needed
        await rest(4000);
        Object.assign(figures, await (await fetch('/memory')).json());
      }
    } catch (error) {
      figures = { error: String(error?.stack || error) };
    }
    fetch('/done', { method: 'POST', body: JSON.stringify(figures) });
  });
})();
