(function () {
'use strict';
var tables = Array.prototype.slice.call(document.querySelectorAll('table.units'));
if (!tables.length) { return; }
var units = [];
tables.forEach(function (t) { units = units.concat(Array.prototype.slice.call(t.tBodies)); });
var rooms = tables.map(function (t) { return t.tBodies.length; });
var heads = Array.prototype.map.call(tables[0].tHead.rows[1].cells, function (c) { return c.textContent; });
function cell(u, k) { return u.rows[0].cells[k].textContent; }
function build(tag, attributes, children) {
  var e = document.createElement(tag);
  Object.keys(attributes || {}).forEach(function (k) { e.setAttribute(k, attributes[k]); });
  (children || []).forEach(function (c) { e.append(c); });
  return e;
}
var search = build('input', { type: 'search', autocomplete: 'off' });
var said = build('p', { role: 'status' });
var choices = [];
var form = build('form', { role: 'search', 'aria-label': 'the list' }, [build('label', {}, ['search', search])]);
['tier', 'next step', 'area'].forEach(function (name) {
  var k = heads.indexOf(name);
  if (k < 0) { return; }
  var words = [], known = {};
  units.forEach(function (u) { var w = cell(u, k); if (w && !known[w]) { known[w] = true; words.push(w); } });
  if (name === 'area') { words.sort(); }
  var s = build('select', {}, [build('option', { value: '' }, ['all'])].concat(words.map(function (w) { return build('option', { value: w }, [w]); })));
  choices.push({ column: k, select: s });
  form.append(build('label', {}, [name, s]));
});
var clear = build('button', { type: 'reset' }, ['show all']);
form.append(clear);
document.getElementById('controls').append(form, said);
var texts = null;
function textOf(i) {
  if (!texts) {
    texts = units.map(function (u) {
      var s = u.querySelector('summary');
      return (u.rows[0].textContent + ' ' + Array.prototype.map.call(u.rows[0].cells, function (c) { return c.textContent; }).join(' ') + ' ' + (s ? s.textContent : '')).toLowerCase();
    });
  }
  return texts[i];
}
function filter() {
  var want = search.value.trim().toLowerCase(), shown = 0;
  units.forEach(function (u, i) {
    var ok = choices.every(function (c) { return !c.select.value || cell(u, c.column) === c.select.value; });
    if (ok && want) { ok = textOf(i).indexOf(want) >= 0; }
    u.hidden = !ok;
    if (ok) { shown++; }
  });
  tables.forEach(function (t, i) { if (i) { t.hidden = !Array.prototype.some.call(t.tBodies, function (u) { return !u.hidden; }); } });
  said.textContent = shown === units.length ? units.length + ' units' : shown + ' of ' + units.length + ' units';
}
var waiting;
form.addEventListener('input', function () { clearTimeout(waiting); waiting = setTimeout(filter, 120); });
form.addEventListener('reset', function () { setTimeout(filter, 0); });
form.addEventListener('submit', function (e) { e.preventDefault(); filter(); });
var number = /^-?\d+(\.\d+)?$/;
function compare(a, b, way) {
  if (!a || !b) { return a ? -1 : b ? 1 : 0; }
  if (number.test(a) && number.test(b)) { return way * (Number(a) - Number(b)); }
  return way * (a < b ? -1 : a > b ? 1 : 0);
}
function sort(k, way) {
  var list = units.map(function (u, i) { return { u: u, v: cell(u, k), i: i }; });
  list.sort(function (a, b) { return compare(a.v, b.v, way) || a.i - b.i; });
  var at = 0, used = 0;
  list.forEach(function (x) {
    while (used >= rooms[at]) { at++; used = 0; }
    tables[at].append(x.u);
    used++;
  });
  tables.forEach(function (t) {
    Array.prototype.forEach.call(t.tHead.rows[1].cells, function (c, i) {
      if (i === k) { c.setAttribute('aria-sort', way > 0 ? 'ascending' : 'descending'); } else { c.removeAttribute('aria-sort'); }
      var arrow = c.querySelector('span');
      if (arrow) { arrow.textContent = i === k ? (way > 0 ? ' \u2191' : ' \u2193') : ''; }
    });
  });
}
tables.forEach(function (t) {
  Array.prototype.forEach.call(t.tHead.rows[1].cells, function (c, k) {
    var b = build('button', { type: 'button' }, [c.textContent, build('span', { 'aria-hidden': 'true' }, [])]);
    b.addEventListener('click', function () { sort(k, c.getAttribute('aria-sort') === 'ascending' ? -1 : 1); });
    c.textContent = '';
    c.append(b);
  });
});
function openTarget() {
  var u = location.hash && document.getElementById(location.hash.slice(1));
  var d = u && u.querySelector('details');
  if (d) { d.open = true; d.querySelector('summary').focus(); }
}
window.addEventListener('hashchange', openTarget);
openTarget();
filter();
})();
