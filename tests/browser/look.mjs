// What a page is looked over for: sizes, contrast, focus, overflow, weight on the wire. Each function
// gives the list of what is wrong, naming the element; none asserts.

import http from 'node:http';

/** Least side of what is tapped, CSS px (WCAG 2.2, 2.5.5, taken on for gloves). */
const TARGET = 44;

/** Links of a text and controls smaller than 44 by 44 px. A link in running text may be smaller. */
export function smallTargets(page) {
  return page.evaluate((least) => {
    const name = (e) => `<${e.tagName.toLowerCase()}> “${(e.innerText || e.name || e.id || '').trim().slice(0, 40)}”`;
    const inText = (link) => [...link.parentElement.childNodes].some(
      (node) => node.nodeType === Node.TEXT_NODE && /\p{L}/u.test(node.textContent));
    const wrong = [];
    for (const e of document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary')) {
      // A button out of sight that takes the Enter key is no target; neither is the way past the menu.
      if (!e.checkVisibility() || e.matches('.skip, [aria-hidden=true]')) continue;
      if (e.tagName === 'A' && getComputedStyle(e).display === 'inline' && inText(e)) continue;
      const boxes = [e, ...(e.matches('[type=checkbox], [type=radio]') ? e.labels : [])].map((b) => b.getBoundingClientRect());
      const width = Math.max(...boxes.map((b) => b.right)) - Math.min(...boxes.map((b) => b.left));
      const height = Math.max(...boxes.map((b) => b.bottom)) - Math.min(...boxes.map((b) => b.top));
      if (width < least - 0.01 || height < least - 0.01) wrong.push(`${name(e)} is ${width.toFixed(1)} × ${height.toFixed(1)} px`);
    }
    return wrong;
  }, TARGET);
}

/** What sticks out to the right of the page. */
export function overflow(page) {
  return page.evaluate(() => {
    const root = document.documentElement;
    if (root.scrollWidth <= root.clientWidth) return [];
    const out = [...document.querySelectorAll('body *')].filter((e) => {
      const box = e.getBoundingClientRect();
      return box.width > 0 && box.right > root.clientWidth + 0.5 && ![...e.children].some((c) => c.getBoundingClientRect().right >= box.right);
    });
    return [`${root.scrollWidth} px wide in ${root.clientWidth}: ${out.slice(0, 4).map((e) => `<${e.tagName.toLowerCase()}> “${(e.innerText ?? '').slice(0, 40)}”`).join(', ')}`];
  });
}

/** Spaces lines, paragraphs, letters and words as WCAG 1.4.12 names them; gives what is cut off. */
export function spaced(page) {
  return page.evaluate(() => {
    const sheet = new CSSStyleSheet();
    sheet.replaceSync('* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important }'
      + ' p { margin-bottom: 2em !important }');
    document.adoptedStyleSheets = [sheet];
    const cut = [...document.querySelectorAll('body *')].filter((e) => {
      // A leaf of paper keeps its measures, as a drawing does.
      // What is scrolled sideways by keys as well is not cut off: a picture with two axes (WCAG 1.4.10 names it as the exception).
      if (!e.checkVisibility() || e.closest('svg, .leaf') || e.matches('figure[tabindex="0"]')) return false;
      const style = getComputedStyle(e);
      const clips = style.overflowX !== 'visible' || e.matches('button, a.do, .tag');
      return clips && !e.matches('input, select, textarea') && style.display !== 'inline'
        && (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1);
    });
    return cut.map((e) => `<${e.tagName.toLowerCase()}> “${e.innerText.slice(0, 40)}” is cut off when text is spaced`);
  });
}

/** Takes the spacing back. */
export function unspaced(page) {
  return page.evaluate(() => { document.adoptedStyleSheets = []; });
}

/** What shows no ring, or too thin or too pale a one, when it has the keyboard's focus. */
export function unfocused(page) {
  return page.evaluate(() => {
    const parts = (colour) => colour.match(/[\d.]+/g).map(Number);
    const light = (colour) => parts(colour).slice(0, 3)
      .map((c) => c / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4))
      .reduce((sum, c, i) => sum + c * [0.2126, 0.7152, 0.0722][i], 0);
    const behind = (e) => {
      for (let up = e.parentElement; up; up = up.parentElement) {
        const colour = getComputedStyle(up).backgroundColor;
        if ((parts(colour)[3] ?? 1) === 1) return colour;
      }
      return 'rgb(255, 255, 255)';
    };
    const wrong = [];
    for (const e of document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary')) {
      if (!e.checkVisibility() || e.tabIndex < 0) continue;
      e.focus();
      const style = getComputedStyle(e);
      const [a, b] = [light(style.outlineColor), light(behind(e))].sort((x, y) => y - x);
      const ratio = (a + 0.05) / (b + 0.05);
      if (!e.matches(':focus-visible') || style.outlineStyle === 'none' || parseFloat(style.outlineWidth) < 2 || ratio < 3) {
        wrong.push(`<${e.tagName.toLowerCase()}> “${(e.innerText || e.name || '').trim().slice(0, 30)}”: ring ${style.outlineStyle} ${style.outlineWidth}, ${ratio.toFixed(1)}:1`);
      }
    }
    document.activeElement?.blur();
    return wrong;
  });
}

/** Bytes of one GET on the wire, status line and headers included, asked for with gzip. */
export function wire(url, cookie) {
  return new Promise((resolve, reject) => {
    const asked = http.get(url, { agent: false, headers: { 'accept-encoding': 'gzip', cookie: cookie ?? '' } }, (answer) => {
      answer.resume();
      answer.on('end', () => resolve({ bytes: answer.socket.bytesRead, encoding: answer.headers['content-encoding'] }));
    });
    asked.on('error', reject);
  });
}

/** Contrast of two colours written #rrggbb (WCAG 2.2, relative luminance). */
export function contrast(one, other) {
  const light = (hex) => [1, 3, 5]
    .map((at) => parseInt(hex.slice(at, at + 2), 16) / 255)
    .map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4))
    .reduce((sum, c, i) => sum + c * [0.2126, 0.7152, 0.0722][i], 0);
  const [a, b] = [light(one), light(other)].sort((x, y) => y - x);
  return (a + 0.05) / (b + 0.05);
}
