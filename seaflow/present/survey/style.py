"""How the page of a survey looks: on a screen, on a phone, and on paper."""

STYLE = """
body { font: 16px/1.4 Georgia, serif; color: #000; background: #fff; margin: 0 auto;
  max-width: 46rem; padding: 1rem; }
h1 { font-size: 1.5rem; margin: 0 0 .2rem; }
h2 { font-size: 1.15rem; border-bottom: 1px solid #000; margin: 1.6rem 0 .6rem; }
h3 { font-size: 1rem; margin: 0 0 .3rem; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .25rem .5rem .25rem 0;
  border-bottom: 1px solid #999; font-weight: normal; }
thead th { font-style: italic; }
.wide { overflow-x: auto; }
.head { display: grid; grid-template-columns: 1fr 1fr; gap: .2rem 1.5rem; margin: .5rem 0; }
.head div { display: grid; grid-template-columns: 8.5rem 1fr; border-bottom: 1px solid #999; }
.head dt, .finding dt { font-style: italic; }
.head dd, .finding dd { margin: 0; }
.short ol { margin: 0; padding-left: 2rem; }
.finding { border: 1px solid #000; padding: .6rem .8rem; margin: 0 0 .8rem; break-inside: avoid; }
.finding dl { display: grid; grid-template-columns: 6.5rem 1fr; gap: .15rem .6rem; margin: 0; }
.wide td:first-child { min-width: 9rem; }
.blank { display: block; min-height: 1.4rem; }
.asks .blank { border-bottom: 1px dotted #000; min-width: 9rem; }
.asks td:last-child { width: 40%; }
.asks .thing th { font-weight: bold; padding-top: .8rem; border-bottom: 1px solid #000; }
.box { display: inline-block; width: .8rem; height: .8rem; border: 1px solid #000;
  margin: 0 .25rem 0 0; vertical-align: -.05rem; }
.choice { white-space: nowrap; margin-right: .9rem; }
.sign { display: flex; flex-wrap: wrap; gap: 2rem; margin-top: 2.5rem; break-inside: avoid; }
.sign div { flex: 1 1 12rem; border-top: 1px solid #000; padding-top: .2rem; }
code { font-size: .8em; overflow-wrap: anywhere; }
@media screen and (max-width: 30rem) {
  body { padding: .7rem; }
  .head { grid-template-columns: 1fr; }
  table { font-size: .82rem; }
  th, td { padding-right: .4rem; }
  .many table { min-width: 36rem; }
  .many th:first-child, .many td:first-child { position: sticky; left: 0; background: #fff;
    min-width: 6rem; max-width: 8rem; border-right: 1px solid #999; }
  .finding dl { grid-template-columns: 1fr; gap: 0; }
  .finding dd { margin-bottom: .35rem; }
  .asks, .asks tbody, .asks tr, .asks td { display: block; }
  .asks thead { display: none; }
  .asks td { border: 0; padding: 0 0 .1rem; }
  .asks td:last-child { width: auto; }
  .asks tr { border-bottom: 1px solid #999; padding: .35rem 0; }
  .asks .thing th { display: block; border: 0; }
}
@media print {
  @page { margin: 12mm; }
  body { font-size: 8.5pt; line-height: 1.25; max-width: none; padding: 0; }
  h1 { font-size: 14pt; }
  h2 { font-size: 11pt; margin: .9rem 0 .35rem; }
  h3 { font-size: 9pt; margin: 0 0 .15rem; }
  h2, h3, .lead { break-after: avoid; }
  th, td { padding-top: .1rem; padding-bottom: .1rem; }
  p, ul, ol { margin: .25rem 0; orphans: 3; widows: 3; }
  .wide { overflow: visible; }
  .keep, .short { break-inside: avoid; }
  .short ol { columns: 2; column-gap: 6mm; font-size: 7.5pt; padding-left: 1.4rem; }
  .findings { columns: 2; column-gap: 5mm; font-size: 7.5pt; }
  .finding { padding: .25rem .4rem; margin: 0 1px .35rem; }
  .finding dl { grid-template-columns: 3.6rem 1fr; gap: 0 .3rem; }
  .blank { min-height: 1.1rem; }
  .asks { font-size: 8pt; }
  .asks .thing { break-after: avoid; }
  .asks .thing th { padding-top: .4rem; }
  .box { width: .6rem; height: .6rem; }
  .choice { margin-right: .5rem; }
  thead { display: table-header-group; }
  tr { break-inside: avoid; }
}
"""
