(function () {
'use strict';
var rows = Array.prototype.slice.call(document.querySelectorAll('.units>tbody>tr:not(.more):not(.fh)'));
var controls = document.getElementById('controls');
if (!rows.length || !controls) { return; }
function build(tag, attributes, children) {
  var e = document.createElement(tag);
  Object.keys(attributes).forEach(function (k) { e.setAttribute(k, attributes[k]); });
  children.forEach(function (c) { e.append(c); });
  return e;
}
var search = build('input', { type: 'search', autocomplete: 'off', 'aria-label': 'search the list', placeholder: 'search' }, []);
var said = build('p', { role: 'status' }, []);
var form = build('form', { role: 'search' }, [search, said]);
controls.append(form);
var texts = null;
function filter() {
  var want = search.value.trim().toLowerCase(), shown = 0;
  if (!texts) { texts = rows.map(function (r) { return r.textContent.toLowerCase(); }); }
  rows.forEach(function (r, i) {
    var ok = !want || texts[i].indexOf(want) >= 0;
    r.hidden = !ok;
    if (ok) { shown++; }
  });
  Array.prototype.forEach.call(document.querySelectorAll('.units'), function (t) {
    t.hidden = !!want && !t.querySelector('tbody>tr:not(.more):not(.fh):not([hidden])');
  });
  said.textContent = want ? shown + ' of ' + rows.length : '';
}
var waiting;
form.addEventListener('input', function () { clearTimeout(waiting); waiting = setTimeout(filter, 120); });
form.addEventListener('submit', function (e) { e.preventDefault(); filter(); });
document.addEventListener('keydown', function (e) {
  if (e.key === 'Escape' && location.hash.indexOf('#u-') === 0) { location.hash = '#list'; }
});
})();
