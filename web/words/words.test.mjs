import assert from 'node:assert/strict';
import { test } from 'node:test';
import { say, speak } from '../shared/say.js';
import { inLanguage, ofPage } from './pages.mjs';
import { ofScript } from './scripts.mjs';
import { verbs, wrong } from './texts.mjs';

test('the texts of a script are the literals that say and later are given', () => {
  const source = `import { say, later } from '../shared/say.js';
    const a = [later('one'), 'not this'];
    say(n === 1 ? '%d log' : '%d logs', n); say(a[0]); say('a' + 'b');`;
  assert.deepEqual(ofScript('x.js', source).texts.map(({ text }) => text), ['one', '%d log', '%d logs', 'ab']);
  assert.deepEqual(ofScript('x.js', "import { say } from './say.js';\n\nsay(`at ${n}`);").faults, ['x.js:3: the text of say has to be a literal']);
  assert.deepEqual(ofScript('x.js', "const say = (text) => text; say('another one');").texts, []);
});

const PAGE = `<!doctype html><html lang="en"><title>A title</title><body>
<nav><a href="#a">First</a> <a href="#b">Second</a></nav>
<p class="formula"><var>Q</var> = const</p>
<p>See the
  <a href="guide.html">guide</a>.<!-- site --> It is here. <!-- /site --><button title="This &amp; that">Press</button></p>
<label><input placeholder="as read"> Left <span id="x"></span></label><div>Ah</div><div>4.2 V</div><p translate="no">Alder</p>
</body></html>`;

test('the texts of a page are what stands between its parts, inline elements in it', () => {
  assert.deepEqual(
    ofPage(PAGE).map(({ text }) => text),
    ['A title', 'First', 'Second', 'See the <a href="guide.html">guide</a>.', 'It is here.', 'This & that', 'Press', 'as read', 'Left <span id="x"></span>'],
  );
});

test('a page is put into a language, and what the table lacks stays', () => {
  const german = inLanguage(PAGE, 'de', { 'See the <a href="guide.html">guide</a>.': 'Siehe <a href="guide.html">Anleitung</a>.', 'This & that': 'A & "B"', 'Left <span id="x"></span>': '<span id="x"></span> übrig' });
  assert.ok(german.includes('<html lang="de">'));
  assert.ok(german.includes('<p>Siehe <a href="guide.de.html">Anleitung</a>.<!-- site --> It is here. <!-- /site -->'));
  assert.ok(german.includes('title="A &amp; &quot;B&quot;"'));
  assert.ok(german.includes('<input placeholder="as read"> <span id="x"></span> übrig</label>'));
  assert.ok(german.includes('<title>A title</title>'));
});

test('verbs are told by the value that each is for', () => {
  assert.equal(verbs('%s of %d'), verbs('von %[2]d: %[1]s'));
  assert.equal(verbs('%[2]s, %s'), '2s 3s');
  assert.notEqual(verbs('%s of %d'), verbs('%d von %s'));
  assert.notEqual(verbs('%s'), verbs('%s %s'));
  assert.equal(verbs('%.1f %% off, 95 % of them'), verbs('%.1f %% daneben, 95 % davon'));
  assert.notEqual(verbs('%d %% off'), verbs('%d % daneben'));
});

test('what is wrong with a table is told with its place', () => {
  const texts = new Map(['%d runs', 'a <b>c</b>', 'kept'].map((text, k) => [text, { text, file: 'x.go', line: k + 1 }]));
  assert.deepEqual(wrong('de', { '%d runs': '%d Läufe', 'a <b>c</b>': '<b>c</b> a', kept: 'bleibt' }, texts), []);
  const lines = wrong('de', { '%d runs': '%s Läufe', 'a <b>c</b>': 'a c', old: 'alt' }, texts).join('\n');
  assert.match(lines, /^x\.go:1: de: the verbs .*"%d runs"$/m);
  assert.match(lines, /^x\.go:2: de: the elements /m);
  assert.match(lines, /in no source any more.*"old"/);
});

test('say puts values where the table wants them', () => {
  assert.equal(say('%d of %d', 1, 2), '1 of 2');
  speak({ '%d of %d': 'von %[2]d: %[1]d', '100 %': 'alle' });
  assert.equal(say('%d of %d', 1, 2), 'von 2: 1');
  assert.equal(say('100 %'), 'alle');
  assert.equal(say('constructor'), 'constructor');
  assert.equal(say('%s at 5 %%', '$&'), '$& at 5 %');
  assert.equal(globalThis.plateauWords.split('\u001f').length, 4);
});
