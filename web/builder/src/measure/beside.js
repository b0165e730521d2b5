// An empty page that reads a file in another way than Farheard does, and hands over how long that took.
// The address says what: ?file=NAME&by=parser, by=loop, or by=nothing for the memory of a tab with nothing in it.
(async () => {
  const asked = new URLSearchParams(location.search);
  const rest = (ms) => new Promise((resolve) => { setTimeout(resolve, ms); });
  const text = async (path) => (await fetch(path)).text();

  /** The general-purpose parser: strings only, in chunks, as its documentation says for large files. */
  async function byParser() {
    const script = document.createElement('script');
    script.textContent = await text('/parser.js');
    document.head.append(script);
    return (file) => new Promise((resolve, reject) => {
      let rows = 0;
      Papa.parse(file, {
        worker: false,
        skipEmptyLines: true,
        chunk: ({ data }) => { rows += data.length; },
        complete: () => resolve({ rows: rows - 1 }),
        error: reject,
      });
    });
  }

  /** The loop written by hand, in a worker that is there already, as the page's is. */
  async function byLoop() {
    const worker = new Worker(URL.createObjectURL(new Blob([await text('/loop.js')], { type: 'text/javascript' })));
    const answer = () => new Promise((resolve, reject) => {
      worker.onmessage = ({ data }) => resolve(data);
      worker.onerror = ({ message }) => reject(new Error(message));
    });
    const there = answer();
    worker.postMessage(null);
    await there;
    return (file) => {
      const read = answer();
      worker.postMessage(file);
      return read;
    };
  }

  let figures = {};
  try {
    if (asked.get('by') === 'nothing') {
      await rest(1000);
      figures = await (await fetch('/memory')).json();
    } else {
      const read = await (asked.get('by') === 'loop' ? byLoop : byParser)();
      const file = new File([await (await fetch(`/${asked.get('file')}`)).blob()], 'invented.csv');
      // what the browser does at its own start is over then
      await rest(500);
      const start = performance.now();
      const { rows, stations } = await read(file);
      figures = { ms: performance.now() - start, rows, stations };
    }
  } catch (error) {
    figures = { error: String(error?.stack || error) };
  }
  fetch('/done', { method: 'POST', body: JSON.stringify(figures) });
})();
