// What takes a moment to find out is fetched where it is asked for, and put in its place.

async function fill(place, address) {
  place.setAttribute('aria-busy', 'true');
  try {
    const answer = await fetch(address, { headers: { Accept: 'text/plain' } });
    const text = await answer.text();
    if (!answer.ok) throw new Error(text);
    place.innerHTML = text; // our own, escaped where it was made
  } catch (error) {
    place.textContent = `Not found out: ${error.message}`;
  }
  place.removeAttribute('aria-busy');
}

document.addEventListener('click', event => {
  const link = event.target.closest('a[data-fill]');
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  const place = link.closest('div');
  place.setAttribute('role', 'status');
  place.textContent = 'Looking closer…';
  fill(place, link.getAttribute('href') + '?part=1');
});

for (const place of document.querySelectorAll('div[data-fill]')) fill(place, place.dataset.fill);
