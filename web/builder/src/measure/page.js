// Runs in the page itself before its own script: measures what a person would feel, and hands the figures over.
(() => {
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
      const { event } = message;
      const [kind] = typeof event === 'object' ? Object.keys(event) : [event || message.kind];
      const name = kind === 'pointer' ? event.pointer.gesture : kind === 'act' ? event.act.act : kind;
      this.sent.push({ name, at: performance.now() });
      super.postMessage(message, transfer);
    }
  };

  let longTasks = 0;
  new PerformanceObserver((list) => { longTasks += list.getEntries().length; }).observe({ type: 'longtask' });

  const frame = () => new Promise(requestAnimationFrame);
  const until = async (holds) => { while (!holds()) await frame(); };
  const byId = (id) => document.getElementById(id);
  const root = document.documentElement;
  const digits = (text) => text.replace(/\D/g, '');

  async function drop(rows) {
    const text = await (await fetch(`/${rows}`)).text();
    const spots = String(text.split('\n').length - 2);
    const files = new DataTransfer();
    files.items.add(new File([text], 'invented.csv'));
    longTasks = 0;
    const start = performance.now();
    byId('choose').files = files.files;
    byId('choose').dispatchEvent(new Event('change', { bubbles: true }));
    await until(() => byId('second-replace') || digits(byId('count')?.textContent || '') === spots + spots);
    byId('second-replace')?.click();
    await until(() => digits(byId('count')?.textContent || '') === spots + spots && byId('progress').hidden);
    return { full_ms: performance.now() - start, long_tasks: longTasks };
  }

  /** 95th percentile. */
  function p95(times) {
    const ms = times.sort((a, b) => a - b);
    return ms.length ? ms[Math.min(ms.length - 1, Math.floor(0.95 * ms.length))] : null;
  }

  /** Of how long it took until the answer to each of these was in place. */
  const answered = (name) => p95(answers.filter((answer) => answer.name === name).map((answer) => answer.ms));

  /** Something done over and over, each time after the last was answered. */
  async function over(name, times, once) {
    answers.length = 0;
    for (let time = 0; time < times; time += 1) {
      const before = answers.length;
      once(time);
      await until(() => answers.slice(before).some((answer) => answer.name === name));
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
    const rest = answered('settled');
    answers.length = 0;
    const brushFrame = await frames(80, (time) => press(time % 40 < 20 ? 'ArrowLeft' : 'ArrowRight'));
    byId('clear-all')?.click();
    await until(() => !byId('clear-all'));
    const bands = document.querySelectorAll('.corner.bands button');
    const filter = await over('band', 12, (time) => document.querySelectorAll('.corner.bands button')[time % bands.length].click());
    byId('clear-all')?.click();
    await until(() => !byId('clear-all'));
    return { zoom, zoomFrame, pan, panFrame, brush, brushFrame, rest, filter };
  }

  addEventListener('load', async () => {
    const figures = {};
    try {
      await until(() => root.dataset.state === 'ready');
      figures.ready_ms = performance.now();
      for (const part of JSON.parse(byId('measured').textContent)) {
        figures[part] = { ...(await drop(part)), ...(await handling()) };
      }
    } catch (error) {
      figures.error = String(error?.stack || error);
    }
    fetch('/done', { method: 'POST', body: JSON.stringify(figures) });
  });
})();
