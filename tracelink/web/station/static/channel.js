// A line to the server that stays open. A browser takes three to five times as long over a request of its own as over a
// message on a line that is open. Where there is none (a proxy that does not pass it on), scans are requests.
// @ts-check

/**
 * @typedef {{status: number, said: any, rest: () => Promise<any>}} Answer
 * @typedef {{verdict: (part: any) => void, beside: (found: any) => void, failed: (why: Error) => void}} Awaited
 */

export class Channel {
  /**
   * @param {string} path
   * @param {() => void} broke is called when a line that was open is not any more
   */
  constructor(path, broke) {
    this.address = new URL(path, location.href.replace(/^http/, "ws"));
    this.broke = broke;
    this.asked = 0;
    /** @type {Map<number, Awaited>} Scan -> who waits for its answer. */
    this.awaited = new Map();
    /** @type {WebSocket | undefined} */
    this.socket = undefined;
    this.isBroken = false;
  }

  get isOpen() {
    return this.socket?.readyState === WebSocket.OPEN;
  }

  open() {
    if (this.socket && this.socket.readyState <= WebSocket.OPEN) return;
    const socket = new WebSocket(this.address);
    this.socket = socket;
    let wasOpen = false;
    socket.addEventListener("open", () => {
      wasOpen = true;
      this.isBroken = false;
    });
    socket.addEventListener("message", (event) => this.#heard(JSON.parse(event.data)));
    socket.addEventListener("close", () => {
      for (const each of this.awaited.values()) each.failed(new Error("the line was closed"));
      this.awaited.clear();
      // One that never opened is not tried again before the station is opened again.
      this.isBroken = wasOpen;
      if (wasOpen) this.broke();
    });
  }

  /**
   * @param {object} fields
   * @param {number} ms
   * @returns {Promise<Answer>} rejected if the server does not answer
   */
  async send(fields, ms) {
    this.asked += 1;
    const of = this.asked;
    /** @type {(found: any) => void} */
    let besideCame = () => undefined;
    /** @type {(why: Error) => void} */
    let besideFailed = () => undefined;
    const beside = new Promise((came, failed) => ([besideCame, besideFailed] = [came, failed]));
    // Whoever does not ask for what stands beside the verdict is not told that it did not come.
    beside.catch(() => undefined);
    const verdict = new Promise((came, failed) => {
      const bothFailed = (/** @type {Error} */ why) => [failed, besideFailed].forEach((each) => each(why));
      this.awaited.set(of, { verdict: came, beside: besideCame, failed: bothFailed });
      setTimeout(() => this.#over(of)?.failed(new Error("no answer came")), ms);
    });
    this.socket?.send(JSON.stringify({ of, ...fields }));
    const { status, said } = await verdict;
    return { status, said, rest: () => beside };
  }

  /** @param {any} part of an answer: first the verdict or a refusal, then what stands beside a verdict */
  #heard(part) {
    if ("said" in part) this.awaited.get(part.of)?.verdict(part);
    if ("beside" in part) this.#over(part.of)?.beside(part.beside);
  }

  /** @param {number} of */
  #over(of) {
    const waits = this.awaited.get(of);
    this.awaited.delete(of);
    return waits;
  }
}
