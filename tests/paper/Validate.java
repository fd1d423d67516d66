// Reads the rules of a PDF profile itself (the jar carries no JAXB), checks a file, prints each broken rule.
// java -cp JAR Validate.java PDFA-3A FILE.pdf    exit code: 0 kept, 1 broken

import java.io.File;
import java.io.InputStream;
import java.util.*;
import javax.xml.parsers.DocumentBuilderFactory;
import org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider;
import org.verapdf.pdfa.Foundries;
import org.verapdf.pdfa.flavours.PDFAFlavour;
import org.verapdf.pdfa.validation.profiles.*;
import org.verapdf.pdfa.validation.validators.ValidatorFactory;
import org.w3c.dom.*;

public class Validate {
    public static void main(String[] words) throws Exception {
        VeraGreenfieldFoundryProvider.initialise();
        var profile = profile(words[0]);
        try (var parser = Foundries.defaultInstance().createParser(new File(words[1]), profile.getPDFAFlavour())) {
            var result = ValidatorFactory.createValidator(profile, false, 1000).validate(parser);
            System.out.println(profile.getRules().size() + " rules, " + result.getTotalAssertions() + " checks");
            var broken = new TreeSet<String>();
            for (var found : result.getTestAssertions())
                broken.add(found.getRuleId().getClause() + " " + found.getRuleId().getTestNumber() + " " + found.getMessage());
            broken.forEach(System.out::println);
            System.exit(result.isCompliant() ? 0 : 1);
        }
    }

    static ValidationProfile profile(String name) throws Exception {
        Element root;
        try (InputStream xml = Profiles.class.getResourceAsStream("/org/verapdf/pdfa/validation/" + name + ".xml")) {
            root = DocumentBuilderFactory.newInstance().newDocumentBuilder().parse(xml).getDocumentElement();
        }
        var rules = new HashSet<Rule>();
        for (var rule : all(root, "rule")) rules.add(rule(rule));
        var variables = new HashSet<Variable>();
        for (var variable : all(root, "variable"))
            variables.add(Profiles.variableFromValues(variable.getAttribute("name"), variable.getAttribute("object"),
                text(variable, "defaultValue"), text(variable, "value")));
        var flavour = PDFAFlavour.valueOf(root.getAttribute("flavour"));
        var details = Profiles.profileDetailsFromValues(name, name, "", new Date(0));
        return Profiles.profileFromValues(flavour, details, "", rules, variables);
    }

    static Rule rule(Element rule) {
        var id = all(rule, "id").get(0);
        var specification = PDFAFlavour.Specification.valueOf(id.getAttribute("specification"));
        return Profiles.ruleFromValues(
            Profiles.ruleIdFromValues(specification, id.getAttribute("clause"), Integer.parseInt(id.getAttribute("testNumber"))),
            rule.getAttribute("object"), Boolean.valueOf(rule.getAttribute("deferred")), rule.getAttribute("tags"),
            text(rule, "description"), text(rule, "test"),
            Profiles.errorFromValues(text(rule, "message"), List.of()), List.of());
    }

    static List<Element> all(Element parent, String name) {
        var found = new ArrayList<Element>();
        var nodes = parent.getElementsByTagName(name);
        for (int n = 0; n < nodes.getLength(); n++) found.add((Element) nodes.item(n));
        return found;
    }

    static String text(Element parent, String name) {
        var found = all(parent, name);
        return found.isEmpty() ? "" : found.get(0).getTextContent().trim();
    }
}
