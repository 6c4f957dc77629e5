// SPDX-License-Identifier: MIT
// Judges jobs without a network: the core itself, in Python, in a worker of its own. No screen loads it yet;
// a test proves that it gives the server's bytes. `core` is the address of the zip that web/browser.py makes.
//
//   const judge = new Worker("/static/brackish/judge-worker.js?core=…", { type: "module" });
//   judge.postMessage({ id: 1, job: "<text of a job file>" });
//   judge.onmessage = ({ data }) => data.outcome;   // canonical text, the same bytes as on the server
//
// data is { id, outcome } or { id, failed }; a job that cannot be read has its errors for an outcome.

import { loadPyodide } from "../vendor/pyodide/pyodide.mjs";

const JUDGE = `
from brackish import evaluate
from brackish.errors import BrackishError, faults_of
from brackish.record.canonical import canonical_bytes
from brackish.record.document import parse_document

def judge(text):
    try:
        return evaluate(parse_document(text.encode(), name="job")).to_bytes().decode()
    except BrackishError as error:
        return canonical_bytes({"errors": [fault.to_dict() for fault in faults_of(error)]}).decode()

judge
`;

async function start() {
  const core = new URL(new URL(self.location).searchParams.get("core"), self.location);
  const archive = fetch(core).then((answer) => answer.arrayBuffer());
  const python = await loadPyodide({ indexURL: new URL("../vendor/pyodide/", import.meta.url).href });
  python.unpackArchive(await archive, "zip", { extractDir: "/core" });
  python.runPython('import sys; sys.path.insert(0, "/core")');
  return python.runPython(JUDGE);
}

const ready = start();

self.onmessage = async ({ data: { id, job } }) => {
  try {
    self.postMessage({ id, outcome: (await ready)(job) });
  } catch (fault) {
    self.postMessage({ id, failed: String(fault) });
  }
};
