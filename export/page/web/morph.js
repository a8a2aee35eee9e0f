// morph makes an element what another is and keeps of it all that is already so: what is
// focused, open, scrolled or playing stays. Elements are told apart by their id where they
// have one, else by their place. One with data-keep, and what listens, is left alone.

const kept = element => element.nodeType === 1 && element.matches('[data-keep], .listen');
const idOf = node => node.getAttribute?.('id') ?? ''; // a form's own id may be one of its fields
const alike = (a, b) => a.nodeName === b.nodeName && idOf(a) === idOf(b);

export function morph(old, now) {
  if (kept(old)) return;
  if (old.nodeType !== 1) {
    if (old.nodeValue !== now.nodeValue) old.nodeValue = now.nodeValue;
    return;
  }
  attributes(old, now);
  children(old, now);
}

function attributes(old, now) {
  for (const { name, value } of [...now.attributes]) {
    if (old.getAttribute(name) !== value) old.setAttribute(name, value);
  }
  for (const { name } of [...old.attributes]) {
    if (!now.hasAttribute(name)) old.removeAttribute(name);
  }
}

// children makes what is in an element what is in another. What stands in both stays where it
// is; what is in the old one alone goes, what is in the new one alone comes.
export function children(old, now) {
  const wanted = [...now.childNodes];
  let at = old.firstChild;
  wanted.forEach((next, i) => {
    while (at && !alike(at, next) && !wanted.slice(i).some(n => alike(at, n))) at = drop(at);
    if (at && alike(at, next)) {
      if (!at.isEqualNode(next)) morph(at, next);
      at = at.nextSibling;
    } else {
      old.insertBefore(document.importNode(next, true), at);
    }
  });
  while (at) at = drop(at);
}

function drop(node) {
  const next = node.nextSibling;
  if (!kept(node)) node.remove();
  return next;
}
