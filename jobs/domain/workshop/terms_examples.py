"""Starting texts for terms by country: examples that a shop takes over, changes and has checked by a lawyer.

What they rest on, and how it was seen: Directive 2011/83/EU, Article 16 (c), no withdrawal from goods made to
the consumer's specifications; BGB §§ 312g, 449 and 286, Code de la consommation L221-28, Code civil 2367,
Consumer Contracts Regulations 2013, regulation 28, Sale of Goods Act 1979, section 19, UCC 2-401: all from
memory.
"""

EXAMPLES: dict[str, str] = {
    "US": (
        "Payment is due by the day stated above, without deduction.\n"
        "The piece is made to your order. Once the wood is bought, the deposit is not refunded.\n"
        "Title and risk pass when the piece is handed over to you."
    ),
    "DE": (
        "Payment is due by the day stated above, without deduction.\n"
        "Retention of title (Eigentumsvorbehalt, § 449 BGB): the piece stays ours until it is paid in full.\n"
        "The piece is made to your specifications. Consumers therefore have no right to withdraw from the"
        " contract within 14 days (Article 16 (c) of Directive 2011/83/EU, § 312g BGB).\n"
        "Your statutory rights where the piece has a defect are not affected."
    ),
    "FR": (
        "Payment is due by the day stated above, without deduction.\n"
        "Retention of title (réserve de propriété): the piece stays ours until it is paid in full.\n"
        "The piece is made to your specifications. Consumers therefore have no right to withdraw from the"
        " contract within 14 days (Article 16 (c) of Directive 2011/83/EU, L221-28 of the Code de la"
        " consommation).\n"
        "The legal guarantee of conformity is not affected."
    ),
    "GB": (
        "Payment is due by the day stated above, without deduction.\n"
        "Retention of title: the piece stays ours until it is paid in full.\n"
        "The piece is made to your specifications. The right of consumers to cancel within 14 days does not"
        " apply to it (Consumer Contracts Regulations 2013, regulation 28).\n"
        "Your statutory rights are not affected."
    ),
}
