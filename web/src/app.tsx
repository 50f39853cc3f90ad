import { useState } from "preact/hooks";
import { may, nobody } from "./access";
import { HomePage, KeptPage } from "./pages/home";
import { route } from "./route";
import { Frame } from "./ui/common";
import { ListBeside } from "./ui/desk/beside";
import { lazy } from "./ui/lazy";
import { Update } from "./ui/update";
import { t } from "./words";

// The first screen comes at once. What is needed next with the goods in the hand is fetched as soon
// as the first screen stands still (`warm`); desk work when it is opened.
const later = {
  take: lazy(() => import("./pages/photos/take").then((page) => page.TakePage)),
  unit: lazy(() => import("./pages/units/unit").then((page) => page.UnitPage)),
  outbox: lazy(() => import("./pages/outbox").then((page) => page.OutboxPage)),
  more: lazy(() => import("./pages/more").then((page) => page.MorePage)),
  join: lazy(() => import("./pages/people/join").then((page) => page.JoinPage)),
  first: lazy(() => import("./pages/people/join").then((page) => page.FirstPage)),
  signIn: lazy(() => import("./pages/people/join").then((page) => page.SignInPage)),
  me: lazy(() => import("./pages/people/me").then((page) => page.MePage)),
  people: lazy(() => import("./pages/people/people").then((page) => page.PeoplePage)),
  network: lazy(() => import("./pages/people/network").then((page) => page.NetworkPage)),
  ticket: lazy(() => import("./pages/people/network").then((page) => page.TicketPage)),
  papers: lazy(() => import("./pages/units/papers").then((page) => page.PapersPage)),
  stock: lazy(() => import("./pages/stores/stock").then((page) => page.StockPage)),
  find: lazy(() => import("./pages/stores/find").then((page) => page.FindPage)),
  import: lazy(() => import("./pages/stores/import").then((page) => page.ImportPage)),
  offers: lazy(() => import("./pages/stores/offers").then((page) => page.OffersPage)),
  "first-steps": lazy(() => import("./pages/guide/first").then((page) => page.FirstSteps)),
  codes: lazy(() => import("./pages/guide/codes").then((page) => page.CodesPage)),
  build: lazy(() => import("./pages/units/build").then((page) => page.BuildPage)),
  bins: lazy(() => import("./pages/stores/bins").then((page) => page.BinsPage)),
  roll: lazy(() => import("./pages/photos/roll").then((page) => page.RollPage)),
  sampling: lazy(() => import("./pages/goods/sampling").then((page) => page.SamplingPage)),
  holders: lazy(() => import("./pages/holders/holders").then((page) => page.HoldersPage)),
  rules: lazy(() => import("./pages/rules").then((page) => page.RulesPage)),
  consignments: lazy(() => import("./pages/goods/consignments").then((page) => page.ConsignmentsPage)),
  newConsignment: lazy(() => import("./pages/goods/consignments").then((page) => page.NewConsignmentPage)),
  consignment: lazy(() => import("./pages/goods/consignment").then((page) => page.ConsignmentPage)),
  giveOut: lazy(() => import("./pages/leaving/give-out").then((page) => page.GiveOutPage)),
  goodsPapers: lazy(() => import("./pages/goods/papers").then((page) => page.GoodsPapersPage)),
  goods: lazy(() => import("./pages/goods/goods").then((page) => page.GoodsPage)),
  product: lazy(() => import("./pages/units/product").then((page) => page.ProductPage)),
  walk: lazy(() => import("./pages/units/walk").then((page) => page.WalkPage)),
  sample: lazy(() => import("./pages/goods/sample").then((page) => page.SamplePage)),
};

/** Further pages of one consignment, by the last part of their address. */
const ofConsignment: Record<string, ReturnType<typeof lazy>> = {
  sample: later.sample,
  product: later.product,
  walk: later.walk,
  papers: later.goodsPapers,
  about: later.goods,
};

/** Fetches the pages that come next, so that the first photo waits for nothing. */
export function warm(): void {
  void later.take.fetch();
  void later.unit.fetch();
}

/** A page that one's role does not cover, opened by its address. */
function NotYours() {
  return (
    <Frame title={t("role.not")}>
      <h1>{t("role.not")}</h1>
      <p class="notice">{t("role.ask")}</p>
      <a class="button" href="#/">
        {t("nowhere.home")}
      </a>
    </Frame>
  );
}

function Page() {
  const { page, id, sub } = route.value;
  const [filter, setFilter] = useState("");
  if (nobody() && !["join", "first", "outbox"].includes(page)) return <later.signIn />;
  if ((page === "take" && !may("screener")) || (page === "people" && !may("administrator"))) return <NotYours />;
  switch (page) {
    case "":
      return <HomePage />;
    case "take":
      return <later.take key={location.hash} />;
    case "unit":
      return <later.unit key={id} />;
    case "kept":
      return <KeptPage filter={filter} setFilter={setFilter} />;
    case "consignment": {
      if (sub === "give-out") return <later.giveOut key={id} />;
      const Shown = id === "new" ? later.newConsignment : (ofConsignment[sub] ?? later.consignment);
      return <Shown key={id + sub} />;
    }
    default: {
      const Shown = page in later ? later[page as keyof typeof later] : null;
      if (Shown !== null) return <Shown />;
      return (
        <Frame title={t("nowhere.title")}>
          <h1>{t("nowhere.title")}</h1>
          <a class="button" href="#/">
            {t("nowhere.home")}
          </a>
        </Frame>
      );
    }
  }
}

export function App() {
  return (
    <>
      <Update />
      <div class="desk">
        <Page />
        <ListBeside />
      </div>
    </>
  );
}
