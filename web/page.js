'use strict';
(async () => {
  async function unpack(id) {
    const packed = Uint8Array.from(atob(document.getElementById(id).textContent), (c) => c.charCodeAt(0));
    const gunzip = new DecompressionStream('gzip');
    const writer = gunzip.writable.getWriter();
    writer.write(packed);
    writer.close();
    return new Response(gunzip.readable).arrayBuffer();
  }
  const source = document.getElementById('core-worker').textContent;
  const worker = new Worker(URL.createObjectURL(new Blob([source], { type: 'text/javascript' })));
  worker.onmessage = ({ data }) => {
    document.getElementById('says').textContent = data.text;
    document.documentElement.dataset.state = data.state;
  };
  const wasm = await unpack('core-wasm');
  worker.postMessage({ wasm }, [wasm]);

  if (location.protocol.startsWith('http') && 'serviceWorker' in navigator) {
    const manifest = document.createElement('link');
    manifest.rel = 'manifest';
    manifest.href = 'manifest.webmanifest';
    document.head.append(manifest);
    navigator.serviceWorker.register('sw.js');
  }
})();
