/* Reads pages quickly, one after the other in one document: how wide each is, and of what its elements are made.

   What scripts would add is not there: pages that are read in full are opened as a reader does. Two elements with the same
   kind are alike in all that axe-core judges a single element by; what it judges a whole page by is under `whole`. */
(() => {
  "use strict";
  const MARKED = ["role", "type", "lang", "dir", "scope", "tabindex", "hidden", "autocomplete", "http-equiv",
    "aria-hidden", "aria-current", "aria-pressed", "aria-expanded", "aria-live", "aria-modal", "aria-level"];
  const NAMED = ["alt", "title", "aria-label", "aria-roledescription", "placeholder", "value"];
  const POINTING = ["for", "aria-labelledby", "aria-describedby", "aria-controls", "headers"];
  const PRESSED = "a, button, input, select, summary, textarea, [tabindex], [role=button], [role=link]";
  const LANDMARKS = "main, nav, header, footer, aside, form, section[aria-label], section[aria-labelledby], [role]";
  const BLANK = "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg'/%3E";
  let texts = [];

  /* Put the body of a page in place of the one before; all that is folded is opened. */
  function lay(text) {
    const page = new DOMParser().parseFromString(text, "text/html");
    for (const script of page.querySelectorAll("script")) script.remove();
    for (const picture of page.querySelectorAll("img")) picture.src = BLANK;  // its width and height are in the page
    const root = document.documentElement;
    for (const one of [...root.attributes]) root.removeAttribute(one.name);
    for (const one of page.documentElement.attributes) root.setAttribute(one.name, one.value);
    document.body.replaceWith(document.adoptNode(page.body));
    for (const one of document.querySelectorAll("details")) one.open = true;
    return page.head;
  }

  const words = one => (one.textContent || "").trim() !== "";
  const short = one => [one.localName, ...[...one.classList].sort()].join(".");

  /* A name that people hear: none, an empty one, one that is there. */
  const named = (one, name) => one.hasAttribute(name) ? (one.getAttribute(name).trim() ? `${name}+` : `${name}=`) : "";

  /* An attribute that names others by their ids: do all of them exist and speak? */
  function pointing(one, name) {
    if (!one.hasAttribute(name)) return "";
    const ids = one.getAttribute(name).split(/\s+/).filter(Boolean);
    return `${name}:${ids.map(id => { const other = document.getElementById(id); return other ? words(other) || other.matches("input, select, textarea") : "lost"; })}`;
  }

  function look(one) {
    const style = getComputedStyle(one), box = one.getBoundingClientRect(), size = parseFloat(style.fontSize);
    const large = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);
    const scrolls = /auto|scroll/.test(style.overflowX + style.overflowY) && (one.scrollHeight > one.clientHeight + 14 || one.scrollWidth > one.clientWidth + 14);
    return [style.color, style.backgroundColor, style.backgroundImage === "none" ? "" : "picture", large ? "large" : "", style.display,
      style.visibility, style.position, style.opacity, style.textDecorationLine, scrolls ? "scrolls" : "",
      one.matches(PRESSED) && box.width && (box.width < 24 || box.height < 24) ? "small" : ""].join(",");
  }

  function kindOf(one, path) {
    const own = [...one.childNodes].some(node => node.nodeType === 3 && node.data.trim());
    const inside = /^(dl|ul|ol|table|tr|select)$/.test(one.localName) || one.hasAttribute("role") ? [...new Set([...one.children].map(child => child.localName))].sort().join() : "";
    const href = one.getAttribute("href");
    return [path, ...MARKED.map(name => one.hasAttribute(name) ? `${name}=${one.getAttribute(name)}` : ""),
      ...NAMED.map(name => named(one, name)), ...POINTING.map(name => pointing(one, name)),
      href === null ? "" : href.startsWith("#") ? `#${href === "#" || !!document.getElementById(href.slice(1))}` : `href${href.trim() === "" ? "=" : ""}`,
      one.labels ? [...one.labels].map(words).join() || "unlabelled" : "", one.id && document.querySelectorAll(`[id="${CSS.escape(one.id)}"]`).length > 1 ? "double id" : "",
      words(one) ? "" : "empty", own ? "text" : "", inside, own || one.matches(PRESSED) || one.children.length === 0 ? look(one) : ""].join("|");
  }

  /* What axe-core judges a page by as a whole: its head, the order of headings, its landmarks. */
  function whole(head) {
    const order = [...document.querySelectorAll("h1, h2, h3, h4, h5, h6, [role=heading]")].map(one => one.ariaLevel || one.localName.slice(1));
    const steps = [...new Set(order.map((level, at) => `${at ? order[at - 1] : "first"}>${level}`))].sort();
    const marks = [...document.querySelectorAll(LANDMARKS)].map(one => `${one.getAttribute("role") || one.localName}:${one.getAttribute("aria-label") || ""}`);
    const twice = marks.filter((one, at) => marks.indexOf(one) !== at && !/^(section|form|header|img|list|status|group):?/.test(one));
    const keys = [...head.children].map(one => [one.localName, one.getAttribute("name"), one.getAttribute("http-equiv"), one.getAttribute("rel"),
      one.getAttribute("name") === "viewport" ? one.content : "", one.localName === "title" && !words(one) ? "empty" : "",
      /\.(js|css)/.test(one.getAttribute("src") || one.getAttribute("href") || "") ? (one.getAttribute("src") || one.getAttribute("href")).split("/").pop() : ""].join());
    return [...keys.map(one => `head ${one}`), ...steps.map(one => `heading ${one}`), `h1 ${order.filter(one => one === "1").length}`,
      `main ${document.querySelectorAll("main, [role=main]").length}`, ...twice.map(one => `twice ${one}`), `root ${[...document.documentElement.attributes].map(one => `${one.name}=${one.value}`)}`];
  }

  function kinds() {
    const found = [];
    (function walk(one, above) {
      const path = `${above}>${short(one)}`;
      found.push(kindOf(one, path + (one.getAttribute("aria-hidden") === "true" ? "[hidden]" : "")));
      if (one.localName === "svg") {
        for (const part of one.querySelectorAll("title, desc, text, a, [role], [tabindex]")) found.push(`${path} ${short(part)} ${part.getAttribute("role")} ${part.getAttribute("tabindex")} ${words(part)}`);
        return;
      }
      for (const child of one.children) walk(child, path + (one.getAttribute("aria-hidden") === "true" ? "[hidden]" : ""));
    })(document.body, document.documentElement.dir);
    return found;
  }

  const idsTwice = () => {
    const ids = [...document.querySelectorAll("[id]")].map(one => one.id);
    return ids.filter((id, at) => ids.indexOf(id) !== at);
  };

  window.survey = {
    /* Take the texts of the pages. */
    take(given) { texts = given; },
    /* Tell for each page whether it is wider than the window, or its head or foot narrower. */
    wide() {
      return texts.map(text => {
        lay(text);
        const bands = [...document.querySelectorAll("body > .top, body > .foot")];
        return document.documentElement.scrollWidth > innerWidth
          || bands.some(band => band.getBoundingClientRect().width < document.documentElement.clientWidth);
      });
    },
    /* Give the names of all kinds, and for each page the numbers of those it holds and the ids it has twice. */
    kinds() {
      const numbers = new Map();
      const pages = texts.map(text => {
        const head = lay(text), all = new Set([...whole(head), ...kinds()]);
        for (const kind of all) if (!numbers.has(kind)) numbers.set(kind, numbers.size);
        return { kinds: [...all].map(kind => numbers.get(kind)), twice: idsTwice() };
      });
      return { names: [...numbers.keys()], pages };
    },
  };
})();
