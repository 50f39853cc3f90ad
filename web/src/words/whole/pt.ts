import own from "../pt.json";
import shared from "../shared/pt.json";

export default { ...shared, ...own };
