import java.io.FileInputStream;
import java.util.TreeSet;
import org.verapdf.gf.foundry.VeraGreenfieldFoundryProvider;
import org.verapdf.pdfa.Foundries;
import org.verapdf.pdfa.PDFAParser;
import org.verapdf.pdfa.PDFAValidator;
import org.verapdf.pdfa.flavours.PDFAFlavour;
import org.verapdf.pdfa.results.TestAssertion;
import org.verapdf.pdfa.results.ValidationResult;

/** Checks files against PDF/A-3a and PDF/UA-1: a line for each file and standard, with the rules it breaks. */
public class Check {
    public static void main(String[] files) throws Exception {
        VeraGreenfieldFoundryProvider.initialise();
        for (String file : files) {
            for (PDFAFlavour flavour : new PDFAFlavour[] {PDFAFlavour.PDFA_3_A, PDFAFlavour.PDFUA_1}) {
                try (FileInputStream stream = new FileInputStream(file);
                        PDFAParser parser = Foundries.defaultInstance().createParser(stream, flavour);
                        PDFAValidator validator = Foundries.defaultInstance().createValidator(flavour, false)) {
                    ValidationResult result = validator.validate(parser);
                    TreeSet<String> broken = new TreeSet<>();
                    for (TestAssertion test : result.getTestAssertions()) {
                        if (test.getStatus() == TestAssertion.Status.FAILED) {
                            String clause = test.getRuleId().getClause();
                            broken.add(clause + "-" + test.getRuleId().getTestNumber());
                        }
                    }
                    String verdict = result.isCompliant() ? "follows" : "breaks";
                    System.out.println(String.join("\t", file, flavour.getId(), verdict, String.join(" ", broken)));
                }
            }
        }
    }
}
