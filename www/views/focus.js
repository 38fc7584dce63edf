// A button that is clicked has the focus: keys go on from there. Safari on a Mac gives it none.

export function focusWhatIsClicked() {
  document.addEventListener(
    "click",
    (event) => {
      const clicked = event.target instanceof Element ? event.target.closest("button") : null;
      if (clicked && clicked !== document.activeElement) clicked.focus({ preventScroll: true });
    },
    { capture: true },
  );
}
