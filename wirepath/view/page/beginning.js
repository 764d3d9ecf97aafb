// Fills in the words, then begins every section and shows the one that the address names.

function fillWords() {
  for (const element of document.querySelectorAll("[data-word]")) element.textContent = words[element.dataset.word];
  for (const element of document.querySelectorAll("[data-label]")) element.setAttribute("aria-label", words[element.dataset.label]);
  const invented = byId("invented");
  invented.hidden = !data.invented;
  invented.textContent = words.invented;
}

function beginSections() {
  const sections = [...document.querySelectorAll("main > section")].filter((one) => ({ rough: data.roughing, join: data.joinings }[one.dataset.title] || [true]).length);
  const nav = document.querySelector("nav");
  for (const section of sections) {
    const title = words[`nav_${section.dataset.title}`];
    section.setAttribute("aria-label", title);
    nav.append(make("a", { href: `#${section.dataset.title}` }, title));
  }
  const show = () => {
    const wanted = sections.find((one) => `#${one.dataset.title}` === location.hash) || sections[0];
    if (wanted.dataset.title !== "cut") cutting.stop();
    for (const section of document.querySelectorAll("main > section")) section.hidden = section !== wanted;
    for (const link of nav.children) {
      if (link.hash === `#${wanted.dataset.title}`) link.setAttribute("aria-current", "page");
      else link.removeAttribute("aria-current");
    }
    window.scrollTo(0, 0);
  };
  window.addEventListener("hashchange", show);
  show();
}

fillWords();
lists.begin();
cutting.begin();
solids.begin();
roughing.begin();
joining.begin();
beginSections();
