// Instruments for one state of the page, put into it by the tests. Each gives a list of sentences about what is wrong.
globalThis.probe ??= (() => {
  const shown = (element) => element.checkVisibility({ visibilityProperty: true })
    && !element.closest('.unseen, .skip, .plot-table th') && element.getBoundingClientRect().width > 0;
  const all = (selector) => Array.from(document.querySelectorAll(selector)).filter(shown);

  function name(element) {
    const words = (element.getAttribute('aria-label') || element.textContent || element.value || '').replace(/\s+/g, ' ').trim();
    const parent = element.id ? '' : `${element.parentElement.id || element.parentElement.className} > `;
    return `${parent}${element.tagName.toLowerCase()}${element.id ? `#${element.id}` : ''} '${words.slice(0, 40)}'`;
  }

  // ---- axe ------------------------------------------------------------------------------------------------------

  const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];
  async function judged(rules) {
    const runOnly = rules.length ? { type: 'rule', values: rules } : { type: 'tag', values: TAGS };
    const found = await axe.run(document, { runOnly, resultTypes: ['violations', 'incomplete'], preload: false });
    const list = (kind) => found[kind].flatMap(({ id, nodes }) => nodes.map((node) => {
      const checks = [...node.any, ...node.all, ...node.none];
      return { rule: id, where: node.target.join(' '), why: checks.map((check) => check.data?.messageKey || check.id).join(' '), words: node.failureSummary.replace(/\s+/g, ' ') };
    }));
    return { violations: list('violations'), incomplete: list('incomplete') };
  }

  // ---- targets --------------------------------------------------------------------------------------------------

  const TARGETS = 'button, select, textarea, input, a[href], summary, [role="slider"]';

  /** Where a touch reaches an element: its box, its label, and what `::after` adds to it. */
  function reach(element) {
    const boxes = [element.getBoundingClientRect()];
    const label = element.closest('label');
    if (label) boxes.push(label.getBoundingClientRect());
    const style = getComputedStyle(element, '::after');
    if (style.content !== 'none' && style.position === 'absolute' && style.pointerEvents !== 'none') {
      const { left, top, right, bottom } = boxes[0];
      const own = getComputedStyle(element);
      const px = parseFloat;
      boxes.push({
        left: left + px(own.borderLeftWidth) + px(style.left),
        top: top + px(own.borderTopWidth) + px(style.top),
        right: right - px(own.borderRightWidth) - px(style.right),
        bottom: bottom - px(own.borderBottomWidth) - px(style.bottom),
      });
    }
    return {
      element,
      left: Math.min(...boxes.map((box) => box.left)),
      top: Math.min(...boxes.map((box) => box.top)),
      right: Math.max(...boxes.map((box) => box.right)),
      bottom: Math.max(...boxes.map((box) => box.bottom)),
    };
  }

  /** What lies on its own above the rest and what scrolls on its own: boxes of different ones do not meet. */
  const layer = (element) => {
    for (let at = element; at && at !== document.body; at = at.parentElement) {
      const { position, overflowX, overflowY } = getComputedStyle(at);
      if (position === 'fixed' || at.matches('.menu, dialog, .nothing, .notice') || /auto|scroll/.test(overflowX + overflowY)) return at;
    }
    return document.body;
  };

  const inSentence = (element) => element.matches('p button, p select, p input, p a') && !element.closest('.row, .nothing')
    && getComputedStyle(element.closest('p')).display === 'block';

  function targets(least, inline) {
    const dialog = document.querySelector('dialog[open]');
    const found = all(TARGETS).filter((element) => !element.disabled && (!dialog || dialog.contains(element)));
    const reaches = found.map(reach);
    const wrong = [];
    for (const { element, left, top, right, bottom } of reaches) {
      const wanted = inSentence(element) ? inline : least;
      const [width, height] = [right - left, bottom - top];
      if (Math.min(width, height) < wanted - 0.5) wrong.push(`${name(element)} is reached on ${width.toFixed(1)} by ${height.toFixed(1)}, wanted ${wanted}`);
    }
    const layers = reaches.map(({ element }) => layer(element));
    reaches.forEach((one, at) => {
      for (let next = at + 1; next < reaches.length; next += 1) {
        const other = reaches[next];
        if (layers[at] !== layers[next]) continue;
        const sliders = one.element.matches('[role="slider"]') && other.element.matches('[role="slider"]');
        if (sliders || one.element.contains(other.element)) continue;
        const wide = Math.min(one.right, other.right) - Math.max(one.left, other.left);
        const high = Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top);
        if (wide > 1 && high > 1) wrong.push(`${name(one.element)} and ${name(other.element)} overlap by ${wide.toFixed(1)} by ${high.toFixed(1)}`);
      }
    });
    return wrong;
  }

  // ---- reflow ---------------------------------------------------------------------------------------------------

  const scroller = (element) => {
    for (let at = element.parentElement; at && at !== document.body; at = at.parentElement) {
      if (/auto|scroll/.test(getComputedStyle(at).overflowX)) return at;
    }
    return null;
  };

  /** Boxes of the words of each element that holds some. */
  function words() {
    const found = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
      const text = walker.currentNode;
      const element = text.parentElement;
      if (!text.nodeValue.trim() || !shown(element) || element.closest('svg, select, script, style, textarea')) continue;
      const range = document.createRange();
      range.selectNodeContents(text);
      for (const box of range.getClientRects()) if (box.width > 1) found.push({ element, box, text: text.nodeValue.trim().slice(0, 30) });
    }
    return found;
  }

  function reflow() {
    const wrong = [];
    const wide = document.documentElement.clientWidth;
    const own = document.documentElement.scrollWidth;
    if (own > wide) {
      const widest = all('body *').filter((element) => !scroller(element) && element.getBoundingClientRect().right > wide + 1);
      wrong.push(`the page is ${own} wide in a window of ${wide}: ${widest.slice(0, 3).map(name).join(', ')}`);
    }
    const found = words();
    for (const { element, box, text } of found) {
      if (!scroller(element) && (box.right > wide + 1 || box.left < -1)) wrong.push(`'${text}' of ${name(element)} reaches out of the window`);
      for (let at = element; at && at !== document.body; at = at.parentElement) {
        const style = getComputedStyle(at);
        if (!/hidden|clip/.test(style.overflowX + style.overflowY)) continue;
        const around = at.getBoundingClientRect();
        if (box.right > around.right + 1 || box.bottom > around.bottom + 1) wrong.push(`'${text}' is cut by ${name(at)}`);
      }
    }
    const layers = found.map(({ element }) => layer(element));
    found.forEach(({ box, text, element }, at) => {
      for (let next = at + 1; next < found.length; next += 1) {
        const other = found[next];
        if (layers[at] !== layers[next]) continue;
        const across = Math.min(box.right, other.box.right) - Math.max(box.left, other.box.left);
        const down = Math.min(box.bottom, other.box.bottom) - Math.max(box.top, other.box.top);
        if (across > 2 && down > Math.min(box.height, other.box.height) / 2) wrong.push(`'${text}' and '${other.text}' stand on each other (${name(element)})`);
      }
    });
    return wrong.slice(0, 8);
  }

  // ---- pictures -------------------------------------------------------------------------------------------------

  /** Each picture is one tab stop with a sentence, and its figures stand in a table. */
  function pictures() {
    const wrong = [];
    for (const canvas of all('canvas[data-picture]')) {
      const said = canvas.getAttribute('aria-label') || '';
      const label = `picture ${canvas.dataset.picture}`;
      if (!/^\S.{20,}\.$/s.test(said)) wrong.push(`${label} says '${said}'`);
      // one line without marks to walk; the sentences beside it hold its few figures
      if (canvas.dataset.picture === 'battery') continue;
      if (canvas.tabIndex !== 0) wrong.push(`${label} is no tab stop`);
      if (!document.getElementById(canvas.getAttribute('aria-describedby'))) wrong.push(`${label} names no keys`);
      const section = canvas.closest('section, .middle');
      const twin = section.querySelector('table, [data-act="twin"]') || / Spots holds the same/.test(document.getElementById('keys-hint').textContent);
      if (!twin) wrong.push(`${label} has no table`);
    }
    return wrong;
  }

  // ---- motion ---------------------------------------------------------------------------------------------------

  function motion() {
    const wrong = document.getAnimations().map((one) => `${one.animationName || one.transitionProperty} moves ${name(one.effect.target)}`);
    for (const element of all('body *')) {
      const { animationName, animationDuration, transitionDuration, scrollBehavior } = getComputedStyle(element);
      if (animationName !== 'none' && parseFloat(animationDuration) > 0) wrong.push(`${name(element)} is animated`);
      if (transitionDuration.split(',').some((time) => parseFloat(time) > 0)) wrong.push(`${name(element)} has a transition`);
      if (scrollBehavior === 'smooth') wrong.push(`${name(element)} scrolls smoothly`);
    }
    if (document.getElementById('play')) wrong.push('Play is offered');
    return wrong;
  }

  // ---- focus ----------------------------------------------------------------------------------------------------

  const channels = (colour) => colour.match(/[\d.]+/g).map(Number);
  /** Source: W3C, Web Content Accessibility Guidelines 2.2, 'relative luminance' and 'contrast ratio'. */
  const luminance = ([red, green, blue]) => {
    const linear = (value) => (value <= 0.04045 * 255 ? value / 255 / 12.92 : ((value / 255 + 0.055) / 1.055) ** 2.4);
    return 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
  };
  const contrast = (one, other) => {
    const [low, high] = [luminance(one), luminance(other)].sort((a, b) => a - b);
    return (high + 0.05) / (low + 0.05);
  };
  function ground(element) {
    for (let at = element; at; at = at.parentElement) {
      const colour = channels(getComputedStyle(at).backgroundColor);
      if ((colour[3] ?? 1) > 0.5) return colour;
    }
    return [255, 255, 255];
  }

  /** Words that are too faint, reckoned here too: axe-core passes over words that scroll out of sight or are short. */
  function contrasts() {
    const wrong = new Set();
    for (const { element, text } of words()) {
      const style = getComputedStyle(element);
      const seen = contrast(channels(style.color), ground(element));
      const large = parseFloat(style.fontSize) >= 24;
      if (seen < (large ? 3 : 4.5) && !element.closest(':disabled')) wrong.add(`${name(element)}: '${text}' has a contrast of ${seen.toFixed(2)}`);
    }
    return Array.from(wrong);
  }

  const visited = new WeakSet();
  /** What the Tab key should have come to and did not. */
  // arrows go on from heading to heading of a table
  const unvisited = () => all('a[href], button:not(:disabled, [data-page=sort][tabindex="-1"]), input, select, textarea, summary, [tabindex="0"]')
    .filter((element) => !visited.has(element)).map(name);

  /** Where a finger reaches an element, brought into the middle of the window; or what covers it. */
  function point(selector) {
    const element = one(selector);
    element.scrollIntoView({ block: 'center', behavior: 'instant' });
    const { left, top, width, height } = element.getBoundingClientRect();
    const [x, y] = [left + width / 2, top + height / 2];
    const there = document.elementFromPoint(x, y);
    return there && element.contains(there) ? [x, y] : `${selector} is covered by ${there ? name(there) : 'nothing'}`;
  }

  /** What has the focus, and what is wrong with how it is seen. */
  function focus() {
    const element = document.activeElement;
    if (!element || element === document.body) return { stop: '', wrong: ['nothing has the focus'] };
    const stop = name(element);
    const wrong = [];
    visited.add(element);
    const style = getComputedStyle(element);
    const [wide, offset] = [parseFloat(style.outlineWidth), parseFloat(style.outlineOffset)];
    if (style.outlineStyle === 'none' || wide < 2) wrong.push(`${stop}: its outline is ${style.outlineStyle} ${style.outlineWidth}`);
    const seen = contrast(channels(style.outlineColor), ground(offset < 0 ? element : element.parentElement));
    if (seen < 3) wrong.push(`${stop}: its outline has a contrast of ${seen.toFixed(2)}`);
    const { left, right, top, bottom } = element.getBoundingClientRect();
    const [x0, x1] = [Math.max(left, 0), Math.min(right, innerWidth)];
    const [y0, y1] = [Math.max(top, 0), Math.min(bottom, innerHeight)];
    if (x1 - x0 < Math.min(right - left, 24) - 1 || y1 - y0 < Math.min(bottom - top, 24) - 1) {
      wrong.push(`${stop}: lies outside the window (${[left, top, right, bottom].map(Math.round)})`);
      return { stop, wrong };
    }
    for (const [x, y] of [[0.5, 0.5], [0.1, 0.15], [0.9, 0.85]]) {
      const there = document.elementFromPoint(x0 + (x1 - x0) * x, y0 + (y1 - y0) * y);
      const seenThere = there && (element.contains(there) || element.closest('label')?.contains(there));
      const ownLayer = element.matches('canvas') && there?.closest('.discbox, .strip');
      if (!seenThere && !ownLayer) wrong.push(`${stop}: is covered by ${there ? name(there) : 'nothing'}`);
    }
    return { stop, wrong };
  }

  // ---- ways to a state, without a person's care: those stand in the scripts by keyboard and by touch --------------

  const one = (selector) => document.querySelector(selector) ?? (() => { throw new Error(`no ${selector}`); })();
  const press = (selector) => one(selector).click();
  function act(name, value = '') {
    const button = document.createElement('button');
    Object.assign(button.dataset, { act: name, value });
    document.body.append(button);
    button.click();
    button.remove();
  }
  function set(selector, value) {
    one(selector).value = value;
    one(selector).dispatchEvent(new Event('change', { bubbles: true }));
  }
  function key(selector, ...keys) {
    for (const each of keys) one(selector).dispatchEvent(new KeyboardEvent('keydown', { key: each, bubbles: true, cancelable: true }));
  }
  function paste(text) {
    const pasted = new DataTransfer();
    pasted.setData('text/plain', text);
    document.body.dispatchEvent(new ClipboardEvent('paste', { bubbles: true, cancelable: true, clipboardData: pasted }));
  }

  /** What WCAG 2.2 (1.4.12) lets every reader set, on or off. */
  const spaced = new CSSStyleSheet();
  spaced.replaceSync('* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important; } p { margin-bottom: 2em !important; }');
  function spacing(on) {
    document.adoptedStyleSheets = on ? [spaced] : [];
    return [];
  }

  return { contrasts, spacing, press, act, set, key, paste, judged, targets, reflow, pictures, motion, focus, unvisited, point };
})();
