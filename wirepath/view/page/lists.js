// What is read and ticked: the job, cautions, pieces, order.

const lists = {
  begin() {
    byId("summary").replaceChildren(...terms(data.summary));
    byId("cautions").replaceChildren(...data.cautions.map(([head, text]) => make("div", {}, ...terms([[head, text]]))));
    byId("lifts").replaceChildren(...data.lifts.map((text) => make("li", {}, text)));
    byId("notes").replaceChildren(...data.notes.map((text) => make("li", {}, text)));
    byId("order-list").replaceChildren(table(data.order.heads, data.order.rows, data.order.align));
    const offcuts = data.offcuts.rows.length
      ? table(data.offcuts.heads, data.offcuts.rows, data.offcuts.align)
      : make("p", {}, words.offcuts_none);
    byId("offcut-list").replaceChildren(offcuts);
    byId("piece-list").replaceChildren(...data.pieces.map((piece) => {
      const box = make("input", { type: "checkbox", id: `piece-${piece.number}` });
      box.addEventListener("change", () => ticks.set(piece.number, box.checked));
      const text = make("span", {}, make("strong", {}, piece.title), make("small", {}, piece.about));
      return make("li", {}, make("label", { class: "tick" }, box, text));
    }));
    byId("ticks-lost").hidden = kept.stays;
    const clear = byId("clear-ticks");
    clear.addEventListener("click", () => {
      // Asked twice: all ticks of a job are not to be lost to one finger.
      if (clear.dataset.sure) ticks.clear();
      else clear.dataset.sure = "yes";
      if (!kept.value.ticks.length) delete clear.dataset.sure;
      this.render();
    });
    clear.addEventListener("blur", () => {
      delete clear.dataset.sure;
      this.render();
    });
    ticks.heard.push(() => this.render());
    this.render();
  },

  render() {
    const done = kept.value.ticks.length;
    write(byId("ticked"), say("ticked", { done, total: data.pieces.length }));
    const clear = byId("clear-ticks");
    clear.disabled = done === 0;
    write(clear, clear.dataset.sure ? words.clear_sure : words.clear_ticks);
    for (const piece of data.pieces) {
      const box = byId(`piece-${piece.number}`);
      box.checked = ticks.has(piece.number);
      box.closest("li").classList.toggle("done", box.checked);
    }
  },
};

function terms(rows) {
  return rows.flatMap(([head, text]) => [make("dt", {}, head), make("dd", {}, text)]);
}
