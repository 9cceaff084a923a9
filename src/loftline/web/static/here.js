// One answer of the server is held as long as the page is open: it knows of the page, the page of it.

/** @param {() => void} lost called when the server has ended */
export function stay(lost) {
  // of all tabs one holds it, since a browser keeps few connections to one server
  void navigator.locks.request("loftline", async () => {
    try {
      const answer = await fetch("ask/here", { method: "POST", headers: { "content-type": "application/json" }, body: "{}" });
      const held = answer.body?.getReader();
      while (held && !(await held.read()).done);
    } catch {
      // it has ended all the same
    }
    lost();
  });
}
