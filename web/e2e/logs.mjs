// Logs for the browser tests, made here, and ways to put them on the page.

/** A discharge of 2 A from 4.1 V, in a straight line to 3.0 V, with rests. */
export function plain({ rows = 600, every = 10, current = 2 } = {}) {
  const lines = ['Time / s,Voltage / V,Current / A,Temperature / °C'];
  for (let k = 0; k < rows; k += 1) {
    const loaded = k >= 3 && k < rows - 3;
    const volts = loaded ? 4.1 - (1.1 * (k - 3)) / (rows - 7) : 4.15;
    lines.push(`${k * every},${volts.toFixed(4)},${loaded ? current : 0},${(21 + k / rows).toFixed(1)}`);
  }
  return `${lines.join('\n')}\n`;
}

/** What plain() holds by hand: Ah and Wh, both edges counted as midpoints. */
export function plainTruth({ rows = 600, every = 10, current = 2 } = {}) {
  const hours = ((rows - 6) * every) / 3600;
  return { capacity: current * hours, average: 3.55 };
}

export const file = (name, text) => ({
  name,
  mimeType: 'text/csv',
  buffer: typeof text === 'string' ? Buffer.from(text) : text,
});

/** Drops files on the page by the events that a real drop makes. */
export async function drop(page, files) {
  const transfer = await page.evaluateHandle(
    (list) => {
      const data = new DataTransfer();
      for (const { name, base64 } of list) {
        const bytes = Uint8Array.from(atob(base64), (c) => c.codePointAt(0));
        data.items.add(new File([bytes], name));
      }
      return data;
    },
    files.map(({ name, buffer }) => ({ name, base64: buffer.toString('base64') })),
  );
  await page.dispatchEvent('body', 'dragenter', { dataTransfer: transfer });
  await page.dispatchEvent('body', 'dragover', { dataTransfer: transfer });
  await page.dispatchEvent('body', 'drop', { dataTransfer: transfer });
}

/**
 * The table of results by the discharges' names: numbers as written, under the
 * names of wire.Run, and under u their uncertainties.
 * @returns {Promise<Map<string, Record<string, string> & {u: Record<string, string>}>>}
 */
export async function results(page) {
  const rows = await page.locator('#results-rows tr').evaluateAll((list) =>
    list.map((tr) => {
      const row = { u: {} };
      for (const td of tr.querySelectorAll('td[data-figure]')) {
        row[td.dataset.figure] = td.querySelector('.value, .none').textContent;
        row.u[td.dataset.figure] = td.querySelector('.u')?.textContent.replace('± ', '') ?? '';
      }
      return [tr.querySelector('.run-name').textContent, row];
    }),
  );
  return new Map(rows);
}

/** Waits until the table has n rows. */
export async function rowsShown(page, n, timeout = 20_000) {
  await page.waitForFunction((want) => document.querySelectorAll('#results-rows tr').length === want, n, { timeout });
}

/** Waits until what was just done is kept; a moment first, for the page to hear of it. */
export async function kept(page) {
  await page.waitForTimeout(300);
  await page.waitForFunction(() => /is kept in this browser/.test(document.querySelector('#workspace-state').textContent));
}

/** The text of the log list's entry for a file. */
export async function logEntry(page, name) {
  return page.locator('#logs li', { hasText: name }).first().textContent();
}

/** Another visit, in a workspace of its own, so that nothing is on the page. */
export async function anew(page, name = 'Another') {
  await page.reload();
  await page.waitForFunction(() => performance.getEntriesByName('plateau:page').length > 0);
  await page.click('#workspace-fold > summary');
  await page.fill('#workspace-new', name);
  await page.click('#workspace-create');
  await page.waitForFunction((wanted) => document.querySelector('#workspace-name').textContent === wanted, name);
  await rowsShown(page, 0);
}
