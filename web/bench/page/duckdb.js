// DuckDB-WASM: its own worker reads the File through its browser file reader,
// its CSV reader works out the layout, and one query with a window over the
// rows in file order does the integral.
import * as duckdb from '/node_modules/@duckdb/duckdb-wasm/dist/duckdb-browser.mjs';

const DIST = new URL('/node_modules/@duckdb/duckdb-wasm/dist/', location.href).href;

const QUERY = `
  SELECT count(*)::DOUBLE AS n,
         sum((i + i0) * (t - t0)) / 7200 AS charge,
         sum((v * i + v0 * i0) * (t - t0)) / 7200 AS energy
  FROM (SELECT t, v, i, lag(t) OVER () AS t0, lag(v) OVER () AS v0, lag(i) OVER () AS i0
        FROM read_csv('log.csv') AS r(t, v, i, c))`;

/** Starts the database; answers file => figures. */
export async function start() {
  const worker = new Worker(`${DIST}duckdb-browser-eh.worker.js`);
  const db = new duckdb.AsyncDuckDB(new duckdb.VoidLogger(), worker);
  await db.instantiate(`${DIST}duckdb-eh.wasm`);
  const connection = await db.connect();
  return async (file) => {
    await db.registerFileHandle('log.csv', file, duckdb.DuckDBDataProtocol.BROWSER_FILEREADER, true);
    const [row] = (await connection.query(QUERY)).toArray();
    return { bytes: file.size, rows: row.n, charge: row.charge, energy: row.energy };
  };
}
