"use strict";
// Readings on their way: kept in the browser until the server has answered, sent in order, each arriving once.
(() => {
  const token = () => document.querySelector('meta[name="crosshatch-token"]')?.content ?? "";

  // Works without a secure context, as on the shop's own network.
  const key = () => {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
  };

  class Queue {
    constructor(address, name, heard) {
      this.address = address;
      this.name = `crosshatch.queue.${name}`;
      this.heard = heard; // (event, item, answer)
      this.pause = 0;
      this.sending = false;
      this.timer = 0;
      window.addEventListener("online", () => this.now());
      if (this.items().length > 0) this.now();
    }

    items() {
      try { return JSON.parse(localStorage.getItem(this.name) ?? "[]"); } catch { return this.memory ?? []; }
    }

    keep(items) {
      this.memory = items;
      try { localStorage.setItem(this.name, JSON.stringify(items)); } catch { /* full or forbidden: the page still holds them */ }
      this.heard("count", null, items.length);
    }

    add(reading) {
      const item = { delivery_key: key(), ...reading };
      this.keep([...this.items(), item]);
      this.now();
      return item;
    }

    now() {
      clearTimeout(this.timer);
      this.pause = 0;
      this.send();
    }

    later() {
      this.pause = Math.min(30000, Math.max(1000, this.pause * 2));
      clearTimeout(this.timer);
      this.timer = setTimeout(() => this.send(), this.pause);
      this.heard("count", null, this.items().length);
    }

    async send() {
      if (this.sending) return;
      this.sending = true;
      try {
        for (let item = this.items()[0]; item; item = this.items()[0]) {
          const result = await this.post(item);
          if (result === null) { this.later(); return; }
          this.pause = 0;
          this.keep(this.items().filter((i) => i.delivery_key !== item.delivery_key));
          this.heard(result.status, item, result.answer);
        }
      } finally { this.sending = false; }
    }

    // null: no answer, try again later.
    async post(item) {
      // What only the page needs stays here.
      const { before, undo, ...reading } = item;
      let response;
      try {
        response = await fetch(this.address, {
          method: "POST", credentials: "same-origin", keepalive: true,
          headers: { "Content-Type": "application/json", "X-Crosshatch-Token": token() },
          body: JSON.stringify(reading), signal: AbortSignal.timeout(15000),
        });
      } catch { return null; }
      if (response.status >= 500 || response.status === 429 || response.status === 408) return null;
      let answer = {};
      try { answer = await response.json(); } catch { if (response.ok) return null; }
      if (response.status === 401 || response.status === 403) {
        this.heard("refused", item, answer);
        return null;
      }
      return { status: response.status, answer };
    }
  }

  window.CrosshatchQueue = Queue;
})();
