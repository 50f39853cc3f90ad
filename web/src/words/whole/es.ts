import own from "../es.json";
import shared from "../shared/es.json";

export default { ...shared, ...own };
