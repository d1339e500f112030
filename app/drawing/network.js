// Draws the things and lines that the desk hands over, and goes where a click on one leads.
// Names are drawn on a canvas and never read as markup; what is drawn comes from the daybook alone.

function colour(box, name) {
  // A colour of the style sheet as the theme in force makes it.
  const probe = document.createElement("span");
  probe.className = name;
  box.appendChild(probe);
  const found = window.getComputedStyle(probe).color;
  probe.remove();
  return found;
}

function hasColours(root) {
  const box = root.querySelector(".k-net-box");
  return colour(box, "k-net-ink") !== colour(box, "k-net-paper");
}

function paler(rgb, share) {
  const parts = rgb.match(/[\d.]+/g);
  return parts ? `rgba(${parts[0]}, ${parts[1]}, ${parts[2]}, ${share})` : rgb;
}

const PALE = 0.22;
const LEAST_SCALE = 0.55;

function look(box, data) {
  const ink = colour(box, "k-net-ink"), paper = colour(box, "k-net-paper");
  const serif = "'Source Serif', Georgia, 'Times New Roman', serif";
  const nodes = data.nodes.map(function (node) {
    const own = colour(box, "k-f-" + node.group), share = node.faded ? PALE : 1;
    const both = { background: paper, border: paler(own, share) };
    return {
      id: node.id, label: node.label, shape: node.shape, x: node.x, y: node.y, physics: false,
      borderWidth: node.borderWidth + 0.4, borderWidthSelected: node.borderWidth + 0.4,
      color: { ...both, highlight: both, hover: both },
      font: { size: 15, face: serif, color: paler(ink, node.faded ? 0.4 : 1), align: "left" }
    };
  });
  const edges = data.lines.map(function (line, number) {
    const own = paler(colour(box, "k-net-line"), line.faded ? PALE : 1);
    return {
      id: number, from: line.from, to: line.to, label: line.label, width: line.width, dashes: line.dashes,
      color: { color: own, highlight: own, hover: own }, selectionWidth: 0, hoverWidth: 1,
      smooth: line.bend ? { enabled: true, type: line.bend > 0 ? "curvedCW" : "curvedCCW", roundness: Math.abs(line.bend) } : false,
      font: { size: 12.5, face: "'Source Sans', sans-serif", color: paler(ink, line.faded ? 0.4 : 1), background: paper, strokeWidth: 0 }
    };
  });
  return { nodes, edges };
}

const OPTIONS = {
  physics: false,
  interaction: { hover: true, dragNodes: false, zoomView: false, keyboard: false, tooltipDelay: 1e9 },
  nodes: { margin: 7, widthConstraint: { maximum: 176 }, shapeProperties: { borderRadius: 3 } },
  edges: { widthConstraint: { maximum: 110 }, arrows: { to: { enabled: true, scaleFactor: 0.45 } } }
};

function go(to, event) {
  // As a link of the page, so that the desk follows it like any other, with the keys that were held.
  const link = document.createElement("a");
  link.href = to;
  document.body.appendChild(link);
  const held = event || {};
  link.dispatchEvent(new MouseEvent("click", {
    bubbles: true, cancelable: true, ctrlKey: !!held.ctrlKey, metaKey: !!held.metaKey, shiftKey: !!held.shiftKey
  }));
  link.remove();
}

function fit(net) {
  // The whole of it, or, where that would be too small to read, the centre with what is next to it.
  net.fit({ animation: false, maxZoomLevel: 1 });
  if (net.getScale() >= LEAST_SCALE) return;
  const box = net.canvas.frame.canvas;
  const half = box.clientWidth / 2 / LEAST_SCALE;
  const left = Math.min(...Object.values(net.getPositions()).map((place) => place.x));
  net.moveTo({ position: { x: left - 110 + half, y: 0 }, scale: LEAST_SCALE, animation: false });
}

function zoom(net, by) {
  net.moveTo({ scale: Math.min(Math.max(net.getScale() * by, 0.15), 2.5), animation: false });
}

function draw(root, data) {
  const box = root.querySelector(".k-net-box");
  const drawn = look(box, data);
  const same = JSON.stringify([data.nodes.map((n) => [n.id, n.x, n.y, n.label]), data.lines.map((l) => [l.from, l.to])]);
  const kept = root.kNetwork;
  root.kData = data;
  if (kept && kept.same === same) {
    kept.nodes.update(drawn.nodes);
    kept.edges.update(drawn.edges);
    return;
  }
  if (kept) kept.net.destroy();
  box.style.height = data.height + "px";
  const nodes = new vis.DataSet(drawn.nodes), edges = new vis.DataSet(drawn.edges);
  const net = new vis.Network(box, { nodes, edges }, OPTIONS);
  root.kNetwork = { net, nodes, edges, same };
  net.canvas.frame.tabIndex = -1;
  fit(net);
  const leads = (node, edge) => node !== undefined ? root.kData.nodes[node].go
    : edge !== undefined ? root.kData.lines[edge].go : null;
  net.on("click", function (event) {
    const to = leads(event.nodes[0], event.edges[0]);
    net.unselectAll();
    if (to) go(to, event.event.srcEvent);
  });
  const point = (to) => { net.canvas.frame.style.cursor = to ? "pointer" : "grab"; };
  net.on("hoverNode", (event) => point(leads(event.node)));
  net.on("hoverEdge", (event) => point(leads(undefined, event.edge)));
  net.on("blurNode", () => point(null));
  net.on("blurEdge", () => point(null));
  root.setAttribute("data-drawn", String(data.nodes.length));
}

export default function ({ data, parentElement }) {
  const root = parentElement.querySelector(".k-net");
  let waiting = null;
  const again = function () {
    // The drawing script and the style sheet come by themselves, before this or a moment after it.
    if (!window.vis || !hasColours(root)) waiting = window.setTimeout(again, 30);
    else draw(root, data);
  };
  again();
  const redraw = () => { if (window.vis && root.kData) draw(root, root.kData); };
  const refit = () => { if (root.kNetwork) fit(root.kNetwork.net); };
  root.querySelectorAll("button").forEach(function (button) {
    button.onclick = function () {
      if (!root.kNetwork) return;
      const net = root.kNetwork.net;
      if (button.dataset.do === "whole") net.fit({ animation: false, maxZoomLevel: 1 });
      else zoom(net, button.dataset.do === "nearer" ? 1.3 : 1 / 1.3);
    };
  });
  const themes = new MutationObserver(redraw);
  const app = document.querySelector('[data-testid="stApp"]');
  if (app) themes.observe(app, { attributes: true, attributeFilter: ["class", "style"] });
  window.addEventListener("resize", refit);
  return function () {
    window.clearTimeout(waiting);
    themes.disconnect();
    window.removeEventListener("resize", refit);
  };
}
