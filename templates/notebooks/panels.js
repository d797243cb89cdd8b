// Some things a panel's widgets cannot do by themselves. Runs once a page, asks nothing of a network.
if (!window.stallwisePanels) {
  window.stallwisePanels = true;
  // A slider's handle takes no name of its own: it gets the words that stand over it.
  const name = () => {
    for (const handle of document.querySelectorAll('.sw .noUi-handle:not([aria-label])')) {
      const words = handle.closest('.sw-field')?.querySelector('.widget-text > .widget-label');
      if (words?.textContent) handle.setAttribute('aria-label', words.textContent);
    }
  };
  // A fold's header is a button for the keyboard and for those who have it read out, as for the mouse.
  const folds = () => {
    for (const header of document.querySelectorAll('.sw .jupyter-widget-Collapse-header')) {
      const open = header.parentElement.classList.contains('jupyter-widget-Collapse-open');
      if (header.getAttribute('role') !== 'button') {
        header.setAttribute('role', 'button');
        header.tabIndex = 0;
        header.addEventListener('keydown', event => {
          if (event.key !== 'Enter' && event.key !== ' ') return;
          event.preventDefault();
          event.stopPropagation();
          header.click();
        });
        new MutationObserver(folds).observe(header.parentElement, { attributeFilter: ['class'] });
      }
      if (header.getAttribute('aria-expanded') !== String(open)) {
        header.setAttribute('aria-expanded', String(open));
      }
    }
  };
  // The kernel draws as wide as there is room; it is told in steps, so that a scroll bar changes nothing.
  const room = new ResizeObserver(entries => {
    for (const { target, contentRect } of entries) {
      const box = target.closest('.sw-plan')?.querySelector('.sw-room input');
      const wide = String(Math.min(Math.max(Math.floor(contentRect.width / 20) * 20, 300), 760));
      if (box && contentRect.width > 0 && box.value !== wide) {
        box.value = wide;
        box.dispatchEvent(new Event('change', { bubbles: true }));
      }
    }
  });
  // A table that is wider than its place can be moved along by keys too.
  const reach = ({ target }) => {
    if (target.scrollWidth > target.clientWidth) {
      target.tabIndex = 0;
      target.setAttribute('role', 'group');
      target.setAttribute('aria-label', target.querySelector('caption')?.textContent || 'A wide table');
    } else {
      for (const name of ['tabindex', 'role', 'aria-label']) target.removeAttribute(name);
    }
  };
  const wide = new ResizeObserver(entries => entries.forEach(reach));
  // A file dropped on a panel is given to its button, which keeps its own input to itself.
  const inputOf = button => {
    const open = HTMLInputElement.prototype.click;
    let found;
    HTMLInputElement.prototype.click = function () { found = this; };
    try { button.click(); } finally { HTMLInputElement.prototype.click = open; }
    return found;
  };
  const over = event => {
    const zone = event.target.closest?.('.sw-drop');
    if (!zone || !event.dataTransfer?.types.includes('Files')) return;
    // Else the notebook takes it for a cell, or the browser opens it.
    event.preventDefault();
    event.stopPropagation();
    zone.classList.toggle('sw-over', event.type === 'dragover');
    const button = zone.querySelector('.widget-upload');
    if (event.type !== 'drop' || !button) return;
    // What is larger breaks the line to the kernel, and nobody is told.
    const size = [...event.dataTransfer.files].reduce((sum, file) => sum + file.size, 0);
    if (size > 9e6) {
      const words = zone.querySelector('p');
      words?.setAttribute('role', 'alert');
      if (words) words.textContent = `These have ${Math.ceil(size / 1e6)} MB, and 9 MB at once can be dropped. `
        + 'Put them on the notebook\'s computer by its own list of files, and take them from there.';
      return;
    }
    const input = inputOf(button);
    const files = new DataTransfer();
    for (const file of event.dataTransfer.files) {
      if (input?.multiple || !files.items.length) files.items.add(file);
    }
    if (input && files.items.length) {
      input.files = files.files;
      input.dispatchEvent(new Event('change'));
    }
  };
  for (const kind of ['dragover', 'dragleave', 'drop']) document.addEventListener(kind, over, true);
  const seen = new WeakSet();
  let waiting = false;
  const look = () => {
    waiting = false;
    name();
    folds();
    for (const shown of document.querySelectorAll('.sw-plan .sw-answer')) {
      if (!seen.has(shown)) {
        seen.add(shown);
        room.observe(shown);
      }
    }
    for (const table of document.querySelectorAll('.sw .sw-scroll')) {
      if (!seen.has(table)) {
        seen.add(table);
        wide.observe(table);
      }
    }
  };
  new MutationObserver(() => {
    if (!waiting) {
      waiting = true;
      requestAnimationFrame(look);
    }
  }).observe(document.body, { childList: true, subtree: true });
  look();
}
