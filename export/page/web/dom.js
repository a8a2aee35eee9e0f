// What all scripts of the page share.

export const $ = (selector, root = document) => root.querySelector(selector);
export const $$ = (selector, root = document) => [...root.querySelectorAll(selector)];
export const live = document.body.hasAttribute('data-live');

// number reads a figure as the page writes it; NaN is for none.
export const number = text => text === undefined || text === '' ? NaN : Number(text.replace('\u2212', '-'));
