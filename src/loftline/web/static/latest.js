// One question at a time; of those that wait only the newest is asked.

/**
 * @template Q, A
 * @param {(question: Q) => Promise<A>} ask
 * @param {(answer: A, question: Q) => void} show
 * @param {(error: unknown, question: Q) => void} fail
 */
export function latest(ask, show, fail) {
  let busy = false;
  /** @type {{question: Q} | null} */
  let waiting = null;
  /** @type {(() => void)[]} */
  let idle = [];

  async function go(/** @type {Q} */ question) {
    busy = true;
    try {
      show(await ask(question), question);
    } catch (error) {
      fail(error, question);
    }
    busy = false;
    const next = waiting;
    waiting = null;
    if (next) void go(next.question);
    else {
      const done = idle;
      idle = [];
      for (const tell of done) tell();
    }
  }

  return {
    /** @param {Q} question */
    ask(question) {
      if (busy) waiting = { question };
      else void go(question);
    },
    /** Forget what waits, and wait for what runs. */
    async settle() {
      waiting = null;
      if (busy) await new Promise((tell) => idle.push(/** @type {() => void} */ (tell)));
    },
  };
}
