// Charts made up for the tests of pictures, as plain lists, of which draw()
// makes on the page what the chart takes.

export const HOSTILE = [
  '</svg><script>window.hacked=1</script>',
  '<img src=x onerror="window.hacked=1">',
  '"quotes" \' ]]> <!-- &lt; {a|b}',
  'x'.repeat(200),
  '\u202eright to left שלום עולם مرحبا',
  '\u0000\u0001\uffff\ud800 z\u0301\u0301\u0301\u0301\u0301\u0301\u0301',
];

/** Voltages that fall from 4.1 V, each a little steeper and shorter. */
export function curves(names, points = 400) {
  const lists = names.map((_, k) => Array.from({ length: 2 * points }, (__, i) => {
    const x = Math.floor(i / 2) / (points - 1);
    return i % 2 === 0 ? x * (4.8 - 0.15 * k) : 4.1 - 0.05 * k - 0.6 * x - 0.7 * x ** 10;
  }));
  return { key: 'curves', lists, chart: { axis: 'charge', xLabel: 'Discharged charge / Ah', yLabel: 'Voltage / V', tLabel: 'Temperature / °C', series: series(names), xMin: 0, xMax: 4.8, cutoff: 2.8 } };
}

/** x, y, U triples over five currents. */
export function points(names, log = false) {
  const lists = names.map((_, k) => [1, 3, 6, 12, 18].flatMap((x) => [x * (1 + 0.1 * k), 5 - 0.4 * k - 0.05 * x, 0.06]));
  return { key: 'compared', lists, chart: { title: 'Capacity over current', xLabel: 'Current / A', yLabel: 'Capacity / Ah', log, series: series(names), note: '± the expanded uncertainty (k = 2).' } };
}

const series = (names) => names.map((name, k) => ({ run: `1.${k + 1}`, name, colour: k, temperature: false }));

/** Draws on the page: an SVG as text, a PNG as bytes, and what went wrong. */
export async function draw(page, made, options) {
  const got = await page.evaluate(async ([made, options]) => {
    const chart = typeof made === 'string' ? made : { [made.key]: made.chart, buffers: made.lists.map((list) => new Float64Array(list).buffer) };
    try {
      const picture = await window.plateau.chart.picture(chart, options);
      if (typeof picture === 'string') return { svg: picture };
      const url = await new Promise((done) => {
        const reader = new FileReader();
        reader.onload = () => done(reader.result);
        reader.readAsDataURL(picture);
      });
      return { type: picture.type, base64: url.split(',')[1] };
    } catch (error) {
      return { error: error.message };
    }
  }, [made, options]);
  return got.base64 ? { type: got.type, png: Buffer.from(got.base64, 'base64') } : got;
}
