"""How a panel looks: controls beside the answers where there is room, and names for what the widgets leave nameless."""

BOX_PX, SLIDER_PX, CHOICE_PX, WIDE_PX = 120, 215, 190, 335
STYLE = """<style>
.kit-panel { width: 350px; overflow: visible; }
.kit-panel .widget-html, .kit-panel .widget-html-content { min-height: 0; line-height: 1.2; margin: 0; }
.kit-panel .kit-typed { flex-flow: row wrap; align-content: flex-start; height: auto; overflow: visible; }
.kit-panel .kit-typed > .widget-label { flex: 0 0 100%; text-align: left; overflow: visible; height: 20px;
  line-height: 20px; font-weight: 600; white-space: nowrap; }
.kit-panel .kit-typed > input, .kit-panel .kit-typed > select { flex: 1 1 100%; }
.kit-panel .kit-row { overflow: visible; margin: 0 0 3px; }
.kit-panel .kit-beside { padding: 24px 0 0 5px; overflow: visible; }
.kit-panel .kit-pair { overflow: visible; }
.kit-panel .kit-pair .kit-beside { display: none; }
.kit-panel .kit-pair .kit-typed { width: 165px !important; min-width: 165px !important; }
.kit-panel .widget-hslider { height: 16px; margin: 0 8px; }
.kit-panel .widget-hslider .slider-container { height: 16px; }
.kit-why { color: #57606a; font-size: 12px; }
.kit-refused { color: #a63d0e; margin: 2px 0; font-size: 13px; }
.kit-refused:not(:empty)::before { content: "\\26A0  "; }
.kit-panel .kit-more { white-space: normal; height: auto; line-height: 1.25; padding: 4px 8px; text-align: left; }
@media (min-width: 1180px) {
  .jp-OutputArea:has(> .jp-OutputArea-child .kit-panel), .output:has(> .output_area .kit-panel)
    { display: grid; grid-template-columns: 400px minmax(0, 1fr); grid-template-rows: repeat(7, auto) 1fr;
    align-items: start; overflow: visible; }
  .jp-OutputArea-child:has(.kit-panel), .output_area:has(.kit-panel)
    { grid-row: 1 / span 8; position: sticky; top: 0; max-height: calc(100vh - 115px); overflow-y: auto; }
  .jp-OutputArea:has(> .jp-OutputArea-child .kit-panel) > .jp-OutputArea-child:not(:has(.kit-panel))
    { grid-column: 2; }
  .jp-OutputArea:has(.kit-panel) .jp-OutputArea-promptOverlay { display: none; }
  .jp-OutputArea:has(.kit-panel) .jp-OutputPrompt { flex: 0 0 0; min-width: 0; padding: 0; }
  .jp-Notebook .jp-Cell:has(.kit-panel), .jp-Cell-outputWrapper:has(.kit-panel) { overflow: visible; }
}
</style>"""
"""Beside each other where there is room, the controls staying in sight while the answers scroll; one below the other
where there is not, or in a browser without `:has`."""

NAMES = """(() => {
  if (window.seasonSliderNames) return;
  const name = () => document.querySelectorAll('.kit-row .noUi-handle:not([aria-label])').forEach((handle) => {
    const label = handle.closest('.kit-row').querySelector('label');
    if (label) handle.setAttribute('aria-label', '%s'.replace('{label}', label.innerText));
  });
  window.seasonSliderNames = new MutationObserver(name);
  window.seasonSliderNames.observe(document.body, {childList: true, subtree: true});
  name();
})()"""
"""Gives each slider the name of its row: the widget itself gives the handle none, and a screen reader needs one."""
