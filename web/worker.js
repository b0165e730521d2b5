'use strict';
self.onmessage = ({ data }) => {
  try {
    wasm_bindgen.initSync({ module: data.wasm });
    self.postMessage({ state: 'ready', text: `Core ${wasm_bindgen.core_version()}` });
  } catch (error) {
    self.postMessage({ state: 'failed', text: String(error) });
  }
};
