// Moving elements of a list: as few as can be, and never the one that stands still.

// arrange puts elements in this order, and those that are not there yet among the children of
// parent. The one that stands still is not moved, so that it keeps the focus and what it
// plays; null is for none.
export function arrange(parent, elements, still) {
  const places = new Map([...parent.children].map((e, i) => [e, i]));
  const now = elements.map(e => places.get(e)); // undefined compares as neither
  const pivot = still && places.has(still) ? elements.indexOf(still) : -1;
  const stay = pivot < 0 ? rising(now, place => place >= 0) : new Set([
    ...rising(now.slice(0, pivot), place => place < now[pivot]),
    pivot,
    ...[...rising(now.slice(pivot + 1), place => place > now[pivot])].map(i => i + pivot + 1),
  ]);
  let next = null; // from the end, each before the one behind it
  for (let i = elements.length - 1; i >= 0; i--) {
    if (!stay.has(i)) parent.insertBefore(elements[i], next);
    next = elements[i];
  }
}

// rising gives the indices of the longest run of rising places among those that may stay.
function rising(places, may) {
  const ends = [], before = new Array(places.length); // ends[k]: where a run of k+1 ends lowest
  places.forEach((place, i) => {
    if (!may(place)) return;
    let low = 0, high = ends.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (places[ends[middle]] < place) low = middle + 1;
      else high = middle;
    }
    before[i] = low > 0 ? ends[low - 1] : undefined;
    ends[low] = i;
  });
  const run = new Set();
  for (let i = ends.at(-1); i !== undefined; i = before[i]) run.add(i);
  return run;
}
