#include <fmt/format.h>

#include "draw/draw.hpp"
#include "draw/markup.hpp"

namespace swingtie {
namespace {

constexpr std::string_view page_head = R"(<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>@TITLE@</title>
<style>
:root{--ink:#1d2b36;--paper:#fff;--wash:#e4e9e8;--accent:#00703c}
*{box-sizing:border-box}
html,body{margin:0;height:100%;font:16px/1.45 B612,'DejaVu Sans',Verdana,system-ui,sans-serif;color:var(--ink);background:var(--wash)}
body{display:flex;flex-direction:column}
header{display:flex;flex-wrap:wrap;gap:.5rem;align-items:center;padding:.5rem .75rem;background:var(--ink);color:#fff}
h1{font-size:1.05rem;margin:0;flex:1 1 12rem}
button,select{font:inherit;min-height:44px;min-width:44px;padding:.25rem .75rem;border:1px solid #8b979e;border-radius:6px;background:#fff;color:var(--ink)}
button:focus-visible,select:focus-visible,#view:focus-visible,a:focus-visible{outline:3px solid #ffb000;outline-offset:2px}
main{flex:1;display:flex;min-height:0}
#view{flex:1;position:relative;overflow:hidden;touch-action:none;cursor:grab;min-width:0}
#view svg{position:absolute;transform-origin:0 0;box-shadow:0 1px 6px #0005}
#view svg[hidden]{display:none}
#words{width:20rem;max-width:100%;overflow:auto;padding:.75rem;background:var(--paper);border-left:1px solid #8b979e}
#words h2{font-size:1rem;margin:.25rem 0}
#words ul{list-style:none;margin:0;padding:0}
#words li button{width:100%;text-align:left;border:0;border-top:1px solid #ccd4d6;border-radius:0;padding:.5rem .25rem}
#said{min-height:4.5rem;padding:.5rem;border-left:4px solid var(--accent);background:#f2f5f4}
.chosen{filter:drop-shadow(0 0 .6px #d5402b) drop-shadow(0 0 1.2px #d5402b)}
@media(max-width:760px){main{flex-direction:column}#words{width:100%;max-height:38%;border-left:0;border-top:1px solid #8b979e}}
@media(max-width:480px){h1{flex-basis:100%}select{max-width:7rem}header button,select{padding:.25rem .4rem}}
@media print{header,#words{display:none}#view{overflow:visible}#view svg{position:static;transform:none!important;display:block!important;page-break-after:always}}
</style>
</head>
<body>
<header>
<h1>@TITLE@</h1>
@SHEETS@<button id="out" type="button" aria-label="zoom out">−</button>
<button id="in" type="button" aria-label="zoom in">+</button>
<button id="fit" type="button">whole sheet</button>
</header>
<main>
<div id="view" tabindex="0" role="region" aria-label="the sheet: drag or use the arrow keys to move, plus and minus to zoom">
)";

constexpr std::string_view page_tail = R"(</div>
<aside id="words" aria-label="what is on the sheet">
<h2>Tap anything on the sheet</h2>
<p id="said" role="status" aria-live="polite">Its words appear here.</p>
<h2>On this sheet</h2>
<ul id="list"></ul>
</aside>
</main>
<script>
'use strict';
(() => {
  const view = document.getElementById('view'), said = document.getElementById('said'), list = document.getElementById('list');
  const sheets = [...view.querySelectorAll(':scope > svg')], choice = document.getElementById('sheet');
  const listed = ['item', 'dig-window', 'crossing', 'access', 'tree', 'tie-end', 'locate'];
  let sheet = sheets[0], x = 0, y = 0, k = 1, chosen = null;
  const size = s => ({w: s.viewBox.baseVal.width, h: s.viewBox.baseVal.height});
  const apply = () => { sheet.style.transform = `translate(${x}px,${y}px) scale(${k})`; };
  const fit = () => {
    const s = size(sheet), w = view.clientWidth - 16, h = view.clientHeight - 16;
    k = Math.min(w / s.w, h / s.h); x = (view.clientWidth - s.w * k) / 2; y = (view.clientHeight - s.h * k) / 2; apply();
  };
  const zoom = (factor, cx, cy) => {
    const to = Math.min(200, Math.max(0.5, k * factor)); x = cx - (cx - x) * to / k; y = cy - (cy - y) * to / k; k = to; apply();
  };
  const words = g => { const t = [...g.children].find(c => c.tagName === 'title'); return t ? t.textContent : ''; };
  const choose = (g, show) => {
    if (chosen) chosen.classList.remove('chosen');
    chosen = g; g.classList.add('chosen'); said.textContent = words(g);
    if (show) {
      const b = g.getBBox(), w = view.clientWidth, h = view.clientHeight;
      k = Math.max(k, Math.min(w, h) / 60); x = w / 2 - (b.x + b.width / 2) * k; y = h / 2 - (b.y + b.height / 2) * k; apply();
    }
  };
  const rank = g => { const i = listed.findIndex(c => g.classList.contains(c)); return i < 0 ? listed.length : i; };
  // What a tap means: a mark that is listed before what lies over it, one nearby before a line or an area exactly there.
  const under = (px, py) => {
    let best = null, least = Infinity;
    for (const [dx, dy] of [[0, 0], [9, 0], [-9, 0], [0, 9], [0, -9], [6, 6], [-6, 6], [6, -6], [-6, -6]]) {
      document.elementsFromPoint(px + dx, py + dy).forEach((e, depth) => {
        const g = e.closest('g.layer > g, g.layer > a > g'); if (!g || !words(g)) return;
        const r = rank(g), apart = dx || dy ? 1 : 0;
        const cost = r < listed.length ? 100 * apart + r : 1000 + 100 * apart + depth;
        if (cost < least) { best = g; least = cost; }
      });
    }
    return best;
  };
  const open = i => {
    sheet = sheets[i]; sheets.forEach((s, j) => { s.toggleAttribute('hidden', j !== i); }); list.textContent = '';
    for (const g of [...sheet.querySelectorAll('g.layer > g, g.layer > a > g')].sort((a, b) => rank(a) - rank(b))) {
      if (rank(g) === listed.length || !words(g) || /^inset-|^profile-/.test(g.id.replace(/^s\d+-/, ''))) continue;
      const li = document.createElement('li'), b = document.createElement('button');
      b.type = 'button'; b.textContent = words(g).split('. ')[0]; b.onclick = () => choose(g, true); li.append(b); list.append(li);
    }
    fit();
  };
  sheets.forEach(s => { const v = size(s); s.setAttribute('width', v.w); s.setAttribute('height', v.h); });
  if (choice) choice.onchange = () => open(+choice.value);
  document.getElementById('in').onclick = () => zoom(1.4, view.clientWidth / 2, view.clientHeight / 2);
  document.getElementById('out').onclick = () => zoom(1 / 1.4, view.clientWidth / 2, view.clientHeight / 2);
  document.getElementById('fit').onclick = fit;
  const touches = new Map(); let moved = 0;
  view.addEventListener('pointerdown', e => { touches.set(e.pointerId, e); moved = 0; });
  view.addEventListener('pointermove', e => {
    const before = touches.get(e.pointerId); if (!before) return;
    const others = [...touches.values()].filter(t => t.pointerId !== e.pointerId), box = view.getBoundingClientRect();
    moved += Math.abs(e.clientX - before.clientX) + Math.abs(e.clientY - before.clientY);
    if (moved > 6 && !view.hasPointerCapture(e.pointerId)) view.setPointerCapture(e.pointerId);
    if (others.length) {
      const o = others[0], was = Math.hypot(before.clientX - o.clientX, before.clientY - o.clientY), now = Math.hypot(e.clientX - o.clientX, e.clientY - o.clientY);
      if (was > 0) zoom(now / was, (e.clientX + o.clientX) / 2 - box.left, (e.clientY + o.clientY) / 2 - box.top);
    } else { x += e.clientX - before.clientX; y += e.clientY - before.clientY; apply(); }
    touches.set(e.pointerId, e);
  });
  for (const type of ['pointerup', 'pointercancel']) view.addEventListener(type, e => touches.delete(e.pointerId));
  view.addEventListener('click', e => {
    const link = e.target.closest('a'); if (link && link.getAttribute('href').startsWith('#')) e.preventDefault();
    if (moved > 6) { e.preventDefault(); return; }
    const g = under(e.clientX, e.clientY); if (g) choose(g, false);
  }, true);
  view.addEventListener('wheel', e => { e.preventDefault(); const b = view.getBoundingClientRect(); zoom(Math.exp(-e.deltaY / 400), e.clientX - b.left, e.clientY - b.top); }, {passive: false});
  view.addEventListener('keydown', e => {
    const step = {ArrowLeft: [60, 0], ArrowRight: [-60, 0], ArrowUp: [0, 60], ArrowDown: [0, -60]}[e.key];
    if (step) { x += step[0]; y += step[1]; apply(); e.preventDefault(); }
    if (e.key === '+' || e.key === '=') zoom(1.4, view.clientWidth / 2, view.clientHeight / 2);
    if (e.key === '-') zoom(1 / 1.4, view.clientWidth / 2, view.clientHeight / 2);
    if (e.key === '0') fit();
  });
  addEventListener('resize', fit);
  open(0);
})();
</script>
</body>
</html>
)";

void replace_all(std::string& text, std::string_view what, std::string_view with) {
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + with.size()))
    text.replace(at, what.size(), with);
}

}  // namespace

std::string write_html(const std::vector<Sheet>& sheets) {
  std::string head(page_head);
  const std::string title = sheets.front().title.substr(0, sheets.front().title.rfind(": "));
  replace_all(head, "@TITLE@", escaped(title));
  std::string choice;
  if (sheets.size() > 1) {
    choice = "<select id=\"sheet\" aria-label=\"sheet\">";
    for (std::size_t i = 0; i < sheets.size(); ++i) {
      const std::string& name = sheets[i].title;
      const std::size_t colon = name.rfind(": ");
      choice += fmt::format("<option value=\"{}\">{} {}</option>", i, sheets[i].number,
                            escaped(colon == std::string::npos ? name : name.substr(colon + 2)));
    }
    choice += "</select>\n";
  }
  replace_all(head, "@SHEETS@", choice);
  std::string out = std::move(head);
  for (std::size_t i = 0; i < sheets.size(); ++i) out += svg_element(sheets[i], fmt::format("s{}-", i + 1));
  out += page_tail;
  return out;
}

}  // namespace swingtie
